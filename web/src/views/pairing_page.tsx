// SPDX-License-Identifier: Apache-2.0
// On the host's screen: how another device gets in, who is in, and how to send one away.
import { useEffect, useState } from "preact/hooks";
import { certificateAddress, type Paired, type Pairing } from "../api/run";
import { codeEnds_ms, codeRole, followPairing, makeCode, pairing, pairingState, sendAway } from "../state/pairing";
import { Section } from "../plots/parts";
import { day } from "../words/figures";
import { FailureAt } from "./failure";
import { Qr } from "./qr";

const roleWords = { operate: "leads", look_on: "looks on" };

function seenWords(one: Paired): string {
  if (one.seen_s < 30) return "here now";
  return one.seen_s < 5400 ? `last seen ${Math.max(1, Math.round(one.seen_s / 60))} min ago` : `last seen ${Math.round(one.seen_s / 3600)} h ago`;
}

function Code({ own }: { own: Pairing }) {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(timer);
  }, []);
  const left_s = Math.max(0, Math.round((codeEnds_ms.value - now) / 1000));
  const live = own.code !== "" && left_s > 0;
  return (
    <div class="slip paircode">
      {live && own.qr_svg && <Qr svg={own.qr_svg} label={`The address ${own.url} as a code to be photographed`} />}
      <div>
        <p class="kicker">{live ? `Let in one device that ${roleWords[codeRole.value]}` : "No code is open"}</p>
        {live && (
          <>
            <p>Photograph the square, or open <b class="address">{own.url.replace(/#.*$/, "")}</b></p>
            <p>and type <b class="code">{own.code}</b></p>
            <p class="small two">Good once, for {left_s >= 90 ? `${Math.round(left_s / 60)} min` : `${left_s} s`} more.</p>
          </>
        )}
        <div class="acts">
          <button type="button" class={live ? "choice" : "press"} onClick={() => void makeCode("operate")}>New code: a device that leads</button>
          <button type="button" class="choice" onClick={() => void makeCode("look_on")}>New code: one that looks on</button>
        </div>
      </div>
    </div>
  );
}

function Who({ own }: { own: Pairing }) {
  return (
    <Section title="Let in">
      {own.paired.length === 0 ? <p>Nobody yet. Nothing is told to a device that is not let in, not even the aircraft’s name.</p> : (
        <ul class="paired">
          {own.paired.map((one) => (
            <li key={one.id}>
              <span><b>{one.name}</b> {roleWords[one.role]}<span class="why"> {seenWords(one)}, since {day(one.since_utc.slice(0, 10))} {one.since_utc.slice(11, 16)} UTC</span></span>
              <button type="button" class="choice" aria-label={`Send away ${one.name}`} onClick={() => void sendAway(one.id)}>Send away</button>
            </li>
          ))}
        </ul>
      )}
    </Section>
  );
}

const certificateUrl = (url: string) => `${url.replace(/#.*$/, "").replace(/\/$/, "")}${certificateAddress}`;

function Warning({ own }: { own: Pairing }) {
  return (
    <Section title="The browser will warn, once">
      <p>The link is encrypted with a certificate that this program made for itself; no authority on the internet has signed it, as there may be no internet. So the other browser says that the connection is not private. That is expected here, and only here.</p>
      <p>Before you go past the warning, let it show the certificate and compare its SHA-256 fingerprint with this one. If they differ, somebody stands in between: do not go on.</p>
      <p class="fingerprint" aria-label="SHA-256 fingerprint of the certificate">{own.fingerprint}</p>
      <ul class="plain">
        <li>To go past it once: “Advanced”, then “Continue” or “Accept the risk”. All works then, but for one thing: the page cannot be loaded again while the network is away.</li>
        <li>To trust it for good, and have that too: on the other device, once let in, open <b class="address">{certificateUrl(own.url)}</b>, which is this certificate as a file; and add it to the device’s own list of trusted certificates (Settings, search for “certificate”; on some devices it then has to be switched on under “Certificate trust”). Take it off the list again when you no longer need it.</li>
      </ul>
    </Section>
  );
}

function Network() {
  return (
    <Section title="No network out there?">
      <p>Switch on the hotspot of a phone and let this machine and the others join it; no internet is needed, nothing goes out. The phone itself may take part. If the address above changes, ask for a new code. Some hotspots keep their guests apart: look for “client isolation” and switch it off.</p>
    </Section>
  );
}

const sentences = {
  looking: "Looking whether other devices may join.",
  there: "Let another device join.",
  closed: "The program answers this machine only.",
  elsewhere: "Codes are shown on the host’s own screen only.",
  away: "The program does not answer.",
};

export function PairingPage() {
  useEffect(followPairing, []);
  const own = pairing.value;
  return (
    <div class="pairpage">
      <div class="empty">
        <h1>{sentences[pairingState.value]}</h1>
        {pairingState.value === "closed" && <p>That is all it needs for one laptop alone. For a tablet, a phone, or a helper who looks on, end it and start it with <code>quietnorth serve --book NAME.qnbook --lan</code>.</p>}
        {pairingState.value === "elsewhere" && <p>Open this page on the machine on which the program runs.</p>}
      </div>
      <FailureAt field="pairing" />
      {own && <><Code own={own} /><div class="pairparts"><Who own={own} /><Warning own={own} /><Network /></div></>}
    </div>
  );
}
