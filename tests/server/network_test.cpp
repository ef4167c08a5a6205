// SPDX-License-Identifier: Apache-2.0
// What the network gets to see, over real TLS: strangers nothing, paired devices what they may.
#include <openssl/evp.h>
#include <openssl/ssl.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <future>
#include <mutex>
#include <string>
#include <vector>

#include "server/lan_server.h"

using namespace qn;
using namespace qn::test;
using nlohmann::json;

namespace {

// The same bytes for whatever there is or is not, so that nothing can be told from them.
void check_tells_nothing(const Answer& answer, int status = 403) {
  CHECK(answer.status == status);
  CHECK(answer.body.empty());
  CHECK(answer.head.find("Server:") == std::string::npos);
  CHECK(answer.head.find("Content-Type:") == std::string::npos);
  CHECK(answer.head.find("Set-Cookie:") == std::string::npos);
}

}  // namespace

TEST_CASE("A stranger sees one page with a field for the code, and nothing of the program",
          "[server]") {
  const LanServer lan;
  const Answer page = lan.ask("GET", "/");
  CHECK(page.status == 200);
  CHECK(page.body.find("<input") != std::string::npos);
  for (const char* word : {"uietnorth", "0.1.0", "app.js", "app.css", "icon.svg", "aircraft"}) {
    CAPTURE(word);
    CHECK(page.body.find(word) == std::string::npos);
    CHECK(page.head.find(word) == std::string::npos);
  }
  CHECK(page.head.find("default-src 'none'") != std::string::npos);
  CHECK(page.head.find("Server:") == std::string::npos);
}

TEST_CASE("The script of a stranger's page can be read, and is the one that its policy names",
          "[server]") {
  const LanServer lan;
  const Answer page = lan.ask("GET", "/");
  const std::size_t from = page.body.find("<script>") + 8, to = page.body.find("</script>");
  REQUIRE(to != std::string::npos);
  const std::string script = page.body.substr(from, to - from);
  const TemporaryFolder folder;
  // By the engine that the page is built with: a script that cannot be read does nothing at all.
  CHECK(std::system(("node --check '" + folder.write("page.js", script) + "'").c_str()) == 0);
  unsigned char digest[32], base64[45];
  EVP_Digest(script.data(), script.size(), digest, nullptr, EVP_sha256(), nullptr);
  EVP_EncodeBlock(base64, digest, 32);
  CHECK(page.head.find("script-src 'sha256-" + std::string(base64, base64 + 44) + "'") !=
        std::string::npos);
}

TEST_CASE("A stranger cannot tell what is there from what is not", "[server]") {
  const LanServer lan;
  const std::string nothing = lan.ask("GET", "/no-such-thing").head;
  for (const char* target :
       {"/app.js", "/icon.svg", "/index.html", "/api/about", "/api/book", "/api/run",
        "/api/run/events", "/api/pairing", "/api/pair", "/api/certificate", "/api/fits/none"}) {
    CAPTURE(target);
    const Answer answer = lan.ask("GET", target);
    check_tells_nothing(answer);
    CHECK(answer.head == nothing);
  }
  const std::string origin = lan.origin_line();
  check_tells_nothing(lan.ask("POST", "/api/recordings", RunningServer::kSmallLog, origin));
  check_tells_nothing(lan.ask("POST", "/", "x", origin));
  check_tells_nothing(lan.ask("HEAD", "/"));
  check_tells_nothing(lan.ask("PUT", "/api/pair", "{}", origin));
  check_tells_nothing(lan.ask("DELETE", "/api/pairing/x", "", origin));
}

TEST_CASE("What a stranger sends wrongly is not explained", "[server]") {
  const LanServer lan;
  const std::string nothing = lan.ask("GET", "/no-such-thing").head;
  CHECK(lan.ask("GET", "/", "", "X-A: " + std::string(9000, 'a') + "\r\n").head == nothing);
  TlsClient babble{lan.port()};
  babble.send("good evening\r\n\r\n");
  CHECK(parted(babble.read_to_end()).head == nothing);
  const std::string code = lan.new_code();
  const std::string long_name = json{{"code", code}, {"name", std::string(2000, 'a')}}.dump();
  check_tells_nothing(lan.ask("POST", "/api/pair", long_name, lan.origin_line()));
  for (const char* body : {"", "no json", "{}", R"({"code":7})", R"({"colour":"red"})"}) {
    check_tells_nothing(lan.ask("POST", "/api/pair", body, lan.origin_line()));
  }
  CHECK(lan.enter(code).status == 429);  // each of the five counted as a wrong code
}

TEST_CASE("A code lets a device in, with a cookie that stays with this server", "[server]") {
  const LanServer lan;
  const json shown = lan.pairing();
  CHECK(shown.at("url") == lan.origin() + "/");
  CHECK(shown.at("qr_svg").get<std::string>().substr(0, 4) == "<svg");
  CHECK(shown.at("fingerprint").get<std::string>().size() == 95);
  CHECK(shown.at("expires_s").get<double>() == Approx(300.0).margin(5.0));
  CHECK(shown.at("paired").empty());
  const Answer in = lan.enter(shown.at("code"), "tablet");
  CHECK(in.status == 204);
  CHECK(in.body.empty());
  const std::size_t cookie = in.head.find("Set-Cookie: __Host-quietnorth=");
  REQUIRE(cookie != std::string::npos);
  const std::string line = in.head.substr(cookie, in.head.find("\r\n", cookie) - cookie);
  for (const char* part : {"; Path=/", "; Secure", "; HttpOnly", "; SameSite=Strict"}) {
    CHECK(line.find(part) != std::string::npos);
  }
  CHECK(line.find("Domain") == std::string::npos);
  const std::string token = line.substr(30, line.find(';') - 30);
  CHECK(token.size() == 64);
  const json after = lan.pairing();
  CHECK(after.dump().find(token) == std::string::npos);
  CHECK(after.at("code") == "");
  CHECK(after.at("paired")[0].at("name") == "tablet");
  CHECK(after.at("paired")[0].at("role") == "operate");
  CHECK(lan.enter(shown.at("code")).status == 403);  // once only
  // The device is in.
  const std::string device = "Cookie: a=b; " + line.substr(12, line.find(';') - 12) + "; c=d\r\n";
  CHECK(lan.ask("GET", "/api/about", "", device).status == 200);
  CHECK(lan.ask("GET", "/app.js", "", device).status == 200);
  CHECK(lan.ask("GET", "/", "", device).body.find("app.js") != std::string::npos);
  const Answer brought =
      lan.ask("POST", "/api/recordings", RunningServer::kSmallLog, device + lan.origin_line());
  CHECK(brought.status == 201);
}

TEST_CASE("A code is too old after five minutes, by the server's clock", "[server]") {
  LanServer lan;
  const std::string code = lan.new_code();
  lan.let_pass(301.0);
  CHECK(lan.pairing().at("code") == "");
  CHECK(lan.pairing().at("expires_s") == 0.0);
  CHECK(lan.enter(code).status == 403);
  CHECK(lan.enter(lan.new_code()).status == 204);
}

TEST_CASE("Wrong codes are answered five times a minute", "[server]") {
  LanServer lan;
  const std::string code = lan.new_code();
  for (int i = 0; i < 5; ++i) check_tells_nothing(lan.enter("AAAA-AAAA"), 403);
  check_tells_nothing(lan.enter("AAAA-AAAA"), 429);
  check_tells_nothing(lan.enter(code), 429);
  lan.let_pass(61.0);
  CHECK(lan.enter(code).status == 204);
}

TEST_CASE("Host must be the machine's own name, or another site's page could be shown here",
          "[server]") {
  const LanServer lan;
  const std::string device = lan.paired(), port = ":" + std::to_string(lan.port());
  for (const std::string& host : {lan.own_host(), "hangar.local" + port, "Hangar.Local" + port}) {
    CAPTURE(host);
    CHECK(lan.ask("GET", "/", "", "", host).status == 200);
    CHECK(lan.ask("GET", "/api/about", "", device, host).status == 200);
  }
  for (const std::string& host :
       {"example.org" + port, std::string{"127.0.0.1"}, std::string{"127.0.0.1:1"},
        "127.0.0.1.example.org" + port, "localhost" + port}) {
    CAPTURE(host);
    check_tells_nothing(lan.ask("GET", "/", "", "", host));
    check_tells_nothing(lan.ask("GET", "/api/about", "", device, host));
  }
}

TEST_CASE("What changes something must come from the server's own page", "[server]") {
  const LanServer lan;
  const std::string device = lan.paired();
  const auto post = [&](const std::string& headers) {
    return lan.ask("POST", "/api/recordings", RunningServer::kSmallLog, device + headers).status;
  };
  CHECK(post(lan.origin_line()) == 201);
  CHECK(post("") == 403);
  CHECK(post("Origin: http://127.0.0.1:" + std::to_string(lan.port()) + "\r\n") == 403);
  CHECK(post("Origin: https://example.org\r\n") == 403);
  CHECK(post("Origin: null\r\n") == 403);
  CHECK(post(lan.origin_line() + "Sec-Fetch-Site: same-site\r\n") == 403);
  const std::string body = json{{"code", lan.new_code()}, {"name", "x"}}.dump();
  check_tells_nothing(lan.ask("POST", "/api/pair", body, "Origin: https://example.org\r\n"));
  check_tells_nothing(lan.ask("POST", "/api/pair", body));
}

TEST_CASE("A device that looks on changes nothing", "[server]") {
  const LanServer lan;
  const std::string device = lan.paired("look_on") + lan.origin_line();
  CHECK(lan.pairing().at("paired")[0].at("role") == "look_on");
  CHECK(lan.ask("GET", "/api/about", "", device).status == 200);
  const std::string fit = lan.host().start_fit();
  CHECK(lan.ask("GET", "/api/fits/" + fit, "", device).status != 403);
  for (const char* method : {"POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"}) {
    CAPTURE(method);
    CHECK(lan.ask(method, "/api/fits/" + fit, "", device).status == 403);
  }
  CHECK(lan.ask("POST", "/api/recordings", RunningServer::kSmallLog, device).status == 403);
  CHECK(lan.ask("POST", "/api/run/answers", "{}", device).status == 403);
  CHECK(lan.enter(lan.new_code("operate")).status == 204);
}

TEST_CASE("Who is paired is the host's own business", "[server]") {
  const LanServer lan;
  const std::string device = lan.paired() + lan.origin_line();
  const std::string id = lan.pairing().at("paired")[0].at("id");
  CHECK(lan.ask("GET", "/api/pairing", "", device).status == 403);
  CHECK(lan.ask("POST", "/api/pairing", R"({"role":"operate"})", device).status == 403);
  CHECK(lan.ask("DELETE", "/api/pairing/" + id, "", device).status == 403);
  const std::uint16_t host = lan.host_port();
  CHECK(ask(host, "DELETE", "/api/pairing/none").status == 404);
  CHECK(ask(host, "POST", "/api/pairing", R"({"role":"pilot"})").status == 400);
  CHECK(ask(host, "POST", "/api/pairing", "{}").status == 400);
  CHECK(ask(host, "PUT", "/api/pairing").status == 405);
  CHECK(ask(host, "POST", "/api/pair", "{}").status == 404);
  const Answer gone = ask(host, "DELETE", "/api/pairing/" + id);
  CHECK(gone.status == 200);
  CHECK(json::parse(gone.body).at("paired").empty());
  check_tells_nothing(lan.ask("GET", "/api/about", "", device));
}

TEST_CASE("Without --lan there is nothing to pair", "[server]") {
  const RunningServer server;
  CHECK(server.listening().lan_port == 0);
  const Answer answer = ask(server.port(), "GET", "/api/pairing");
  CHECK(answer.status == 404);
  CHECK(json::parse(answer.body).at("remedy").get<std::string>().find("--lan") !=
        std::string::npos);
}

TEST_CASE("The host needs no pairing, and is not the network", "[server]") {
  const LanServer lan;
  CHECK(ask(lan.host_port(), "GET", "/api/about").status == 200);
  // Plain HTTP is not answered where TLS is spoken.
  CHECK(ask(lan.port(), "GET", "/").status == 0);
}

TEST_CASE("The certificate is verified by the authority that is handed out", "[server]") {
  const LanServer lan;
  const Answer authority = ask(lan.host_port(), "GET", "/api/certificate");
  CHECK(authority.head.find("application/x-x509-ca-cert") != std::string::npos);
  CHECK(authority.body.find("PRIVATE") == std::string::npos);
  TlsClient trusting{lan.port(), {.authority = authority.body, .address = "127.0.0.1"}};
  CHECK(trusting.agreed());
  CHECK(trusting.version() == "TLSv1.3");
  CHECK_FALSE(
      TlsClient{lan.port(), {.authority = authority.body, .address = "192.0.2.9"}}.agreed());
  const LanServer other;
  CHECK_FALSE(
      TlsClient{other.port(), {.authority = authority.body, .address = "127.0.0.1"}}.agreed());
  CHECK(TlsClient{lan.port(), {.newest = TLS1_2_VERSION}}.agreed());
  CHECK_FALSE(TlsClient{lan.port(), {.newest = TLS1_1_VERSION}}.agreed());
}

TEST_CASE("A port of the network that is taken is said", "[server]") {
  const LanServer first;
  const TemporaryFolder folder;
  ServeOptions options;
  options.port = 0;
  options.lan.emplace();
  options.lan->port = first.port();
  options.lan->state_folder = folder.path("state");
  const auto second = serve(options);
  REQUIRE_FALSE(second.has_value());
  CHECK(second.error().kind == ErrorKind::Io);
  CHECK(second.error().remedy.find("--lan-port") != std::string::npos);
}

TEST_CASE("A new code is told to the host's terminal", "[server]") {
  std::promise<void> first;
  std::vector<Invitation> told;
  std::mutex mutex;
  LanOptions options;
  options.on_invitation = [&](const Invitation& invitation) {
    const std::lock_guard lock{mutex};
    told.push_back(invitation);
    if (told.size() == 2) first.set_value();
  };
  LanServer lan{{}, options};
  lan.host().listening().invite(Role::look_on);
  REQUIRE(first.get_future().wait_for(std::chrono::seconds(5)) == std::future_status::ready);
  const std::string now = lan.pairing().at("code");
  const std::lock_guard lock{mutex};
  CHECK(told[0].role == Role::operate);
  CHECK(told[1].role == Role::look_on);
  CHECK(told[1].code == now);
  CHECK(told[1].urls ==
        std::vector<std::string>{lan.origin() + "/",
                                 "https://hangar.local:" + std::to_string(lan.port()) + "/"});
}
