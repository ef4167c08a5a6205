// SPDX-License-Identifier: Apache-2.0
import { render } from "preact";
import "./tokens.css";
import "./page.css";
import { start } from "./state/session";
import { choose, theme } from "./state/theme";
import { Page } from "./views/page";

choose(theme.value);
const place = document.getElementById("page");
if (place) render(<Page />, place);
void start();
