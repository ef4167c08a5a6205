// SPDX-License-Identifier: Apache-2.0
// What waits for a slow reader, and how often one may ask.
#include <catch2/catch.hpp>
#include <string>

#include "server/event_queue_internal.h"
#include "server/rate_limit.h"

using namespace qn;

namespace {

StreamEvent replaced(const std::string& name, const std::string& data) { return {name, data}; }
StreamEvent kept(const std::string& name, const std::string& data) {
  return {name, data, false, true};
}
std::string told(const std::string& name, const std::string& data) {
  return "event: " + name + "\ndata: " + data + "\n\n";
}

}  // namespace

TEST_CASE("Of news that may be replaced only the newest of each name waits", "[server]") {
  EventQueue queue;
  for (int i = 0; i < 1000; ++i) {
    CHECK(queue.push(replaced("view", std::to_string(i))));
    CHECK(queue.push(replaced("trace", std::to_string(i))));
  }
  CHECK(queue.take() == told("view", "999") + told("trace", "999"));
  CHECK(queue.take().empty());
}

TEST_CASE("What is kept is told in order, and newer news does not overtake it", "[server]") {
  EventQueue queue;
  queue.push(replaced("view", "1"));
  queue.push(kept("trace", "a"));
  queue.push(kept("trace", "b"));
  queue.push(replaced("trace", "c"));
  queue.push(replaced("view", "2"));
  CHECK(queue.take() ==
        told("trace", "a") + told("trace", "b") + told("trace", "c") + told("view", "2"));
}

TEST_CASE("A reader too far behind is given up", "[server]") {
  EventQueue many;
  for (std::size_t i = 0; i < EventQueue::kMostWaiting; ++i) CHECK(many.push(kept("a", "1")));
  CHECK_FALSE(many.push(kept("a", "1")));
  EventQueue large;
  CHECK(large.push(kept("a", std::string(600'000, 'x'))));
  CHECK_FALSE(large.push(kept("a", std::string(600'000, 'x'))));
  large.take();
  CHECK(large.push(kept("a", std::string(600'000, 'x'))));
}

TEST_CASE("Nothing is told after the last word", "[server]") {
  EventQueue queue;
  queue.push(replaced("view", "1"));
  queue.push({"end", "{}", true});
  CHECK(queue.ended());
  CHECK(queue.push(kept("view", "2")));
  CHECK(queue.take() == told("view", "1") + told("end", "{}"));
}

TEST_CASE("Each address may ask so often, and some at once after a pause",
          "[server][closed-form]") {
  RateLimit limit{{2.0, 5.0}};
  for (int i = 0; i < 5; ++i) CHECK(limit.take("a", 10.0));
  CHECK_FALSE(limit.take("a", 10.0));
  CHECK(limit.take("b", 10.0));
  CHECK_FALSE(limit.take("a", 10.4));  // 0.8 of a request
  CHECK(limit.take("a", 10.6));
  for (int i = 0; i < 5; ++i) CHECK(limit.take("a", 100.0));
  CHECK_FALSE(limit.take("a", 100.0));
}

TEST_CASE("Any number of addresses costs a bounded memory", "[server]") {
  RateLimit limit{{1.0, 1.0}};
  int taken = 0;
  for (int i = 0; i < 5000; ++i) taken += limit.take("new " + std::to_string(i), 10.0) ? 1 : 0;
  CHECK(taken == 1000);                 // all of them still busy: the next have to wait
  CHECK(limit.take("new 4999", 12.0));  // they are quiet again, and forgotten
}
