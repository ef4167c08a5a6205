// SPDX-License-Identifier: Apache-2.0
// Beginning a live run: the book, the sensors, the limit and the place. Going on with one comes first.
import { useEffect } from "preact/hooks";
import { type Book, type BookRun, certificateAddress } from "../api/run";
import { begin, beginning, book, bookState, chosenPorts, choosePort, lookForBook } from "../state/begin";
import { prepareReload, reloadWithoutNetwork, reloadWords } from "../state/reload";
import { entries } from "../state/entries";
import { day } from "../words/figures";
import { FailureAt } from "./failure";
import { Entry, Pick } from "./field";
import { PlaceAndLimit } from "./place_and_limit";

const startedWords = (run: BookRun) => {
  const [date = "", time = ""] = run.started_utc.split("T");
  return `${day(date)}, ${time.slice(0, 5)} UTC`;
};

function Ports({ ports }: { ports: Book["ports"] }) {
  return (
    <fieldset class="group">
      <legend>The sensor, and what else speaks</legend>
      {ports.length === 0 && <p class="small two">No port was found. Plug the sensor in and look again, or type where it is.</p>}
      <div class="ports">
        {ports.map((port) => (
          <label class="tick"><input type="checkbox" checked={chosenPorts.value.includes(port.address)} onChange={(event) => choosePort(port.address, event.currentTarget.checked)} /><span>{port.what || port.address}<span class="axis"> {port.what ? port.address : ""}</span></span></label>
        ))}
      </div>
      <Entry name="link" label="Or typed, several with ;" field="links" example="/dev/ttyUSB0@38400" hint="a serial port with its speed, udp:10110, tcp:HOST:PORT, iio, replay:FILE@10; “typed” for readings of a display" wide />
      <FailureAt field="links" />
      <p><button type="button" class="choice" onClick={() => void lookForBook()}>Look again</button></p>
    </fieldset>
  );
}

function Unfinished({ run }: { run: BookRun }) {
  return (
    <div class="slip next">
      <p class="kicker">Run {run.id}, begun {startedWords(run)}</p>
      <h2>It was not finished. Go on at the same step.</h2>
      <p class="small">What was recorded and answered is kept. Its sensors are read again, unless you tick others below.</p>
      <div class="acts"><button type="button" class="press" disabled={beginning.value} onClick={() => void begin(true)}>Go on with run {run.id}</button></div>
    </div>
  );
}

function DeviceEntries() {
  return (
    <>
      <PlaceAndLimit stood="Heading it stands on, °" />
      <div class="pair">
        <Entry name="noise" label="Noise of the sensor, µT" mode="decimal" field="noise" hint="as known before; empty: a usual one, until the run knows better" />
        <Entry name="turn" label="Or turn the aircraft: stations" mode="decimal" field="turn" hint="4 to 72 headings for a sensor fit; empty: the devices are worked" />
      </div>
      <FailureAt field="noise" />
      <FailureAt field="turn" />
    </>
  );
}

function SwingEntries() {
  return (
    <>
      <div class="pair">
        <Pick name="marks" label="Marks" options={[["8", "8"], ["12", "12"], ["16", "16"], ["24", "24"]]} />
        <Pick name="ways" label="Turning" options={[["", "once around, clockwise"], ["both", "both ways, so that a lag is told from A"]]} />
      </div>
      <Entry name="compasses" label="Compasses, several with ;" field="compasses" example="standby:10; remote:3" hint="a name each, with its limit in degrees where there is one" wide />
      <FailureAt field="compasses" />
      <div class="pair">
        <Pick name="loads" label="Loads" options={[["", "nothing is said of them"], ["off", "off"], ["on", "on"], ["off,on", "off, then on, at each mark"]]} />
        <Entry name="fromLink" label="Compass that the sensor shows" field="from-link" hint="its name, when a link brings its heading; else every compass is read by a person" />
      </div>
      <FailureAt field="from-link" />
      <div class="pair">
        <Entry name="rounding" label="Readings are rounded to, °" mode="decimal" field="rounding" hint="empty: 1" />
        <Entry name="hold" label="Stands before a reading, s" mode="decimal" field="hold" hint="empty: 30" />
      </div>
      <FailureAt field="rounding" />
      <FailureAt field="hold" />
    </>
  );
}

function BeginForm({ book: own }: { book: Book }) {
  const unfinished = own.runs.find((run) => run.can_go_on);
  return (
    <>
      {unfinished && <Unfinished run={unfinished} />}
      <form class="slip form" noValidate aria-label="A new run" onSubmit={(event) => { event.preventDefault(); if (!beginning.value) void begin(false); }}>
        <h2>{unfinished ? "Or begin a new one" : "A new run"}</h2>
        <Pick name="procedure" label="What is done" options={[["", "every device is worked, while the sensor is read"], ["swing", "the aircraft is swung: compasses are read on marks"]]} />
        <Ports ports={own.ports} />
        {entries.value.procedure === "swing" ? <SwingEntries /> : <DeviceEntries />}
        <FailureAt field="begin" />
        <div class="acts"><button type="submit" class={unfinished ? "choice strong" : "press"}>{beginning.value ? "Beginning" : "Begin the run"}</button></div>
        <p class="axis">Nothing is worked or moved before its caution was shown and acknowledged.</p>
      </form>
    </>
  );
}

function Beside() {
  return (
    <div class="beside small">
      <p><b>A helper looks on.</b> On a second device open <a href="#/look-on">the view for looking on</a>: it shows the device in hand, larger than life, and nothing to press.</p>
      <p><b>Another device leads.</b> A phone or tablet is let in on <a href="#/pairing">the pairing page</a>, by a code, over your own network or a phone’s hotspot.</p>
      <p>{reloadWords[reloadWithoutNetwork.value]} {reloadWithoutNetwork.value === "untrusted" && <a href={certificateAddress}>The certificate as a file</a>}</p>
    </div>
  );
}

const openings = {
  looking: "Looking for the aircraft book.",
  none: "A live run needs the aircraft book. Start the program with it.",
  away: "The program does not answer.",
};

function NoBook() {
  if (bookState.value !== "none") return <p class="two">{bookState.value === "away" ? "Is it running on the host, and is this device on its network? Your entries are kept." : ""}</p>;
  return (
    <div class="slip next">
      <p class="kicker">Next</p>
      <h2>End the program with Ctrl-C, then start it with a book:</h2>
      <p><code>quietnorth serve --book NAME.qnbook</code></p>
      <p class="small">There is none yet? <code>quietnorth book new NAME.qnbook --equipment LIST.csv</code> makes one from the list of the aircraft’s equipment. With <code>--lan</code> other devices may join.</p>
    </div>
  );
}

export function BeginPage() {
  useEffect(() => {
    void lookForBook();
    void prepareReload();
  }, []);
  const own = book.value;
  const devices = own ? `${own.name}${own.aircraft ? `, ${own.aircraft}` : ""}: ${own.devices} devices on its list, ${own.runs.length} ${own.runs.length === 1 ? "run" : "runs"} in it.` : "";
  return (
    <div class="beginpage">
      <div class="empty">
        <h1>{bookState.value === "there" && own ? (own.running ? "A run is going on." : "Be led through every switch, while the sensor is read.") : openings[bookState.value === "there" ? "looking" : bookState.value]}</h1>
        {own && <p class="two">{devices}</p>}
        {own?.running && <p class="acts"><a class="press" href="#/cockpit">Join the run</a><a class="choice" href="#/look-on">Look on</a></p>}
        {own && !own.running && <p class="two">One sentence at a time, spoken if you like; you tap as you do it. Late taps, missing devices and lost links are mended on the way. It takes as long as the sensor needs.</p>}
      </div>
      <div class="beginform">{own ? !own.running && <BeginForm book={own} /> : <NoBook />}</div>
      <Beside />
    </div>
  );
}
