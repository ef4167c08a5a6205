// SPDX-License-Identifier: Apache-2.0
#include "server/pairing_page.h"

#include <openssl/evp.h>

#include <array>
#include <string>

#include "vocab/expects.h"

namespace qn {
namespace {

constexpr const char* kStyle = R"(
:root { color-scheme: light; }
body { margin: 0; padding: 24px 16px; background: #fff; color: #000;
       font: 18px/1.45 "DejaVu Sans Condensed", system-ui, sans-serif; }
form { max-width: 420px; margin: 0 auto; }
h1 { font: 26px/1.24 Palatino, P052, "DejaVu Serif Condensed", ui-serif, Georgia, serif; }
label { display: block; }
input { display: block; width: 100%; box-sizing: border-box; min-height: 64px; margin: 12px 0 24px;
        padding: 8px 12px; border: 3px solid #000; border-radius: 3px; background: #fff; color: #000;
        font: 28px/1.24 "DejaVu Sans Mono", ui-monospace, monospace; letter-spacing: 0.1em;
        text-transform: uppercase; }
button { width: 100%; min-height: 64px; border: 0; border-radius: 3px; background: #000;
         color: #fff; font: inherit; font-size: 20px; }
:focus-visible { outline: 3px solid #000; outline-offset: 3px; }
p { min-height: 3em; }
)";

// The code may stand behind the # of the address, which a browser does not send: as the QR code has
// it. It is used when the person presses the button, and not before.
constexpr const char* kScript = R"js(
const form = document.querySelector("form"), code = document.querySelector("input");
const say = (text) => { document.querySelector("p").textContent = text; };
const given = /^#pair=([0-9A-Za-z-]{8,9})$/.exec(location.hash);
if (given) code.value = given[1];
const kind = !matchMedia("(pointer: coarse)").matches ? "computer"
  : Math.min(screen.width, screen.height) < 600 ? "phone" : "tablet";
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  say("Asking.");
  try {
    const answer = await fetch("/api/pair", { method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ code: code.value, name: kind }) });
    if (answer.status === 204) return location.replace("/");
    say(answer.status === 429
      ? "Too many wrong codes. Wait a minute, then enter the code that is shown by then."
      : "This code is not, or no longer, good. Enter the one that is shown now.");
  } catch { say("No answer. Stay in the same network and press again."); }
});
)js";

// For the policy: "'sha256-...'" of what stands between the tags.
std::string hash_source(const std::string& text) {
  std::array<unsigned char, 32> digest{};
  QN_EXPECTS(EVP_Digest(text.data(), text.size(), digest.data(), nullptr, EVP_sha256(), nullptr) ==
             1);
  std::array<unsigned char, 45> base64{};  // 44 signs and a zero
  EVP_EncodeBlock(base64.data(), digest.data(), static_cast<int>(digest.size()));
  return "'sha256-" + std::string(base64.begin(), base64.end() - 1) + "'";
}

HttpResponse made_page() {
  HttpResponse page;
  page.content_type = "text/html; charset=utf-8";
  page.body = std::string{"<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n"} +
              "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
              "<title>Pairing</title>\n<style>" + kStyle + "</style>\n<form>\n" +
              "<h1>Enter the code that the other screen shows.</h1>\n" +
              "<label>Code<input name=\"code\" required maxlength=\"12\" autocomplete=\"off\" " +
              "autocapitalize=\"characters\" spellcheck=\"false\"></label>\n" +
              "<button>Pair this device</button>\n<p role=\"status\"></p>\n</form>\n<script>" +
              kScript + "</script>\n</html>\n";
  page.policy = "default-src 'none'; style-src " + hash_source(kStyle) + "; script-src " +
                hash_source(kScript) +
                "; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
  return page;
}

}  // namespace

HttpResponse pairing_page() {
  static const HttpResponse page = made_page();
  return page;
}

}  // namespace qn
