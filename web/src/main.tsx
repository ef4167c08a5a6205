// SPDX-License-Identifier: Apache-2.0
import { render } from "preact";
import "./tokens.css";
import "./page.css";
import "./run.css";
import "./cockpit.css";
import "./begin.css";
import "./air.css";
import "./swing.css";
import { start } from "./state/session";
import { choose, theme } from "./state/theme";
import { followAddress } from "./state/view";
import { Page } from "./views/page";

choose(theme.value);
followAddress();
const place = document.getElementById("page");
if (place) render(<Page />, place);
void start();
