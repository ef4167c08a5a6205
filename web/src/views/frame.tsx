// SPDX-License-Identifier: Apache-2.0
// The head and the foot of every page but the cockpit's.
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { onHost } from "../api/client";
import { about } from "../state/session";
import { choose, theme, themes } from "../state/theme";
import { under, view, views } from "../state/view";
import { capital } from "../words/figures";

export function Top() {
  return (
    <header class="top">
      <div>
        <a class="name" href="/"><svg width="16" height="20" viewBox="0 0 16 20" aria-hidden="true"><use href="#i-north" /></svg>Quietnorth</a>
        <nav aria-label="Pages">
          {views.map(([name, words]) => <a href={`#${name}`} {...(under(view.value) === name ? { "aria-current": "page" as const } : {})}>{words}</a>)}
        </nav>
      </div>
    </header>
  );
}

export function Foot() {
  const where = onHost ? "on this machine only" : "from the host alone";
  return (
    <footer class="foot">
      <div>
        <span>{about.value ? `Version ${about.value.version} · ${where}` : capital(where)} · not for navigation until verified in flight</span>
        <span class="themes" role="group" aria-label="Light">
          {themes.map((name) => (
            <button type="button" class="link" aria-pressed={theme.value === name} onClick={() => choose(name)}>{capital(name)}</button>
          ))}
        </span>
      </div>
    </footer>
  );
}

/** A whole page, its title in the window's. */
export function Framed({ title, children }: { title: string; children: ComponentChildren }) {
  useEffect(() => { document.title = title; }, [title]);
  return (
    <>
      <Top />
      <main id="main">{children}</main>
      <Foot />
    </>
  );
}
