// SPDX-License-Identifier: Apache-2.0
#include "acquire/link_recording.h"

#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>
#include <iterator>
#include <string>

#include "acquire/crc32c.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

// Zeros, high bytes, and what looks like the head of a record.
const std::string kAwkward = std::string("12\n\0\xff\n", 6) + "B 1 7 3 00000000\nabc\n";

std::string file_bytes(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

LinkEvent bytes_at(double time_s, std::string text, std::size_t link = 1) {
  return {LinkEvent::Kind::bytes, link, time_s, std::move(text)};
}

/// A recording of two links, as bytes.
std::string sample(const test::TemporaryFolder& folder) {
  const std::string path = folder.path("r.qnlink");
  auto made = LinkRecordingWriter::create(path);
  REQUIRE(made.has_value());
  LinkRecordingWriter& writer = *made.value();
  REQUIRE(writer.set_utc("2026-05-14T10:22:33Z").has_value());
  REQUIRE(
      writer
          .describe(
              {1, "/dev/x@38400", {DecoderKind::lines, "time_s,heading_deg", {"a=b"}}, false, true})
          .has_value());
  REQUIRE(writer.describe({2, "udp:10110", {}, true, false}).has_value());
  REQUIRE(writer.add({LinkEvent::Kind::opened, 1, 0.000001, ""}).has_value());
  REQUIRE(writer.add(bytes_at(0.25, kAwkward)).has_value());
  REQUIRE(writer.add(bytes_at(0.5, "datagram", 2)).has_value());
  REQUIRE(writer.add({LinkEvent::Kind::lost, 1, 1.5, "the port went away"}).has_value());
  REQUIRE(writer.flush().has_value());
  return file_bytes(path);
}

}  // namespace

TEST_CASE("record checksum is CRC-32C", "[acquire][published]") {
  // RFC 3720, section B.4: 32 bytes of zero, of ones, increasing, decreasing.
  CHECK(crc32c(std::string(32, '\0')) == 0x8a9136aau);
  CHECK(crc32c(std::string(32, '\xff')) == 0x62a8ab43u);
  std::string up;
  for (char c = 0; c < 32; ++c) up += c;
  CHECK(crc32c(up) == 0x46dd794eu);
  CHECK(crc32c(std::string{up.rbegin(), up.rend()}) == 0x113fdb5cu);
  // The check value of catalogues of CRCs (from memory), whole and in two parts.
  CHECK(crc32c("123456789") == 0xe3069283u);
  CHECK(crc32c("6789", crc32c("12345")) == 0xe3069283u);
}

TEST_CASE("what is written is read back equal", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  sample(folder);
  const auto read = read_link_recording(folder.path("r.qnlink"));
  REQUIRE(read.has_value());
  const LinkRecording& r = read.value();
  CHECK(r.utc == "2026-05-14T10:22:33Z");
  REQUIRE(r.links.size() == 2);
  CHECK(r.links[0].decoder.kind == DecoderKind::lines);
  CHECK(r.links[0].decoder.columns == "time_s,heading_deg");
  CHECK(r.links[0].decoder.column_map == std::vector<std::string>{"a=b"});
  CHECK(r.links[0].joins_midway);
  CHECK(r.links[1].pieces_are_whole);
  REQUIRE(r.events.size() == 4);
  CHECK(r.events[1].text == kAwkward);
  CHECK(r.events[0].time_s == 0.000001);
  CHECK(r.events[2].link == 2);
  CHECK(r.events[3].kind == LinkEvent::Kind::lost);
  CHECK(r.lost_bytes == 0);
  CHECK_FALSE(r.end_is_cut);
}

TEST_CASE("cut anywhere, a recording is read up to its last whole record",
          "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string bytes = sample(folder);
  const std::size_t first_line = bytes.find('\n') + 1;
  std::size_t most = 0;
  for (std::size_t cut = first_line; cut <= bytes.size(); ++cut) {
    const auto read = parse_link_recording(std::string_view{bytes}.substr(0, cut), "cut");
    REQUIRE(read.has_value());
    const std::size_t records = read.value().events.size() + read.value().links.size();
    CHECK(records >= most);
    CHECK(read.value().end_is_cut == (read.value().lost_bytes > 0));
    most = records;
  }
  CHECK(most == 6);
}

TEST_CASE("a damaged record is left out and the rest is found again", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  std::string bytes = sample(folder);
  bytes[bytes.find("datagram") + 2] = 'X';
  const auto read = parse_link_recording(bytes, "hurt");
  REQUIRE(read.has_value());
  CHECK(read.value().events.size() == 3);
  CHECK(read.value().lost_bytes > 8);
  CHECK_FALSE(read.value().end_is_cut);
}

TEST_CASE("every single damaged byte is noticed, and costs one record", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string bytes = sample(folder);
  for (std::size_t at = bytes.find('\n') + 1; at < bytes.size(); ++at) {
    std::string hurt = bytes;
    hurt[at] = static_cast<char>(hurt[at] ^ 0x01);
    const auto read = parse_link_recording(hurt, "hurt");
    REQUIRE(read.has_value());
    const LinkRecording& r = read.value();
    const std::size_t records = r.events.size() + r.links.size() + (r.utc.empty() ? 0 : 1);
    INFO("byte " << at);
    CHECK(records >= 6);
    CHECK(r.lost_bytes > 0);
  }
}

TEST_CASE("what is no recording of this version is refused by name", "[acquire][closed-form]") {
  for (const char* text : {"", "time_s,heading_deg\n1,2\n", "quietnorth link recording 1",
                           "quietnorth link recording x\n"}) {
    CHECK_FALSE(parse_link_recording(text, "f.qnlink").has_value());
  }
  const auto newer = parse_link_recording("quietnorth link recording 2\n", "f.qnlink");
  REQUIRE_FALSE(newer.has_value());
  CHECK(newer.error().what.find("newer") != std::string::npos);
}

TEST_CASE("an old recording is never written over", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string before = sample(folder);
  const auto again = LinkRecordingWriter::create(folder.path("r.qnlink"));
  REQUIRE_FALSE(again.has_value());
  CHECK(again.error().kind == ErrorKind::Io);
  CHECK(file_bytes(folder.path("r.qnlink")) == before);
}

TEST_CASE("when the disk is full, what was recorded before is whole", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  const std::string path = folder.path("full.qnlink");
  auto made = LinkRecordingWriter::create(path);
  REQUIRE(made.has_value());
  REQUIRE(made.value()->describe({1, "x", {}, false, false}).has_value());
  // A limit on the size of files stands for the end of the disk; the signal that goes with it is
  // not wanted here.
  rlimit before{};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &before) == 0);
  rlimit limit = before;
  limit.rlim_cur = 5000;
  const auto old = std::signal(SIGXFSZ, SIG_IGN);
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &limit) == 0);
  std::size_t kept = 0;
  Result<Done> written{Done{}};
  while (written && kept < 1000) {
    written = made.value()->add(bytes_at(0.1 * static_cast<double>(kept), std::string(300, 'a')));
    kept += written ? 1 : 0;
  }
  ::setrlimit(RLIMIT_FSIZE, &before);
  std::signal(SIGXFSZ, old);
  REQUIRE_FALSE(written.has_value());
  CHECK(written.error().kind == ErrorKind::Io);
  const auto read = read_link_recording(path);
  REQUIRE(read.has_value());
  CHECK(read.value().events.size() == kept);
  CHECK(read.value().lost_bytes == 0);
}
