// SPDX-License-Identifier: Apache-2.0
#include "server/run_routes.h"

#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/run_view.h"
#include "server/answers.h"
#include "server/dto_run.h"

namespace qn {
namespace {

using Clock = std::chrono::steady_clock;
constexpr auto kLeastPause = std::chrono::milliseconds(90);  // between two traces for one reader
constexpr double kFirstTrace_s = 120.0, kTrace_s = 3.0;

Error no_run() {
  return {ErrorKind::BadInput, "no run is going on", "the live run",
          "a run that was begun from the book",
          "begin one at #/begin, or start the program with --book FILE --link ADDRESS"};
}

/// What one reader of a run's stream is told. Kept alive by whoever may still call it.
struct Telling {
  Telling(std::shared_ptr<RunSession> of, bool operates, EventSink to)
      : session{std::move(of)}, may_operate{operates}, sink{std::move(to)} {}

  void view() {
    const RunView now = session->live().view();
    {
      // Words that only count seconds need not come more often than the eye reads.
      const std::lock_guard lock{mutex};
      if (now.version == version && Clock::now() - view_told < 2 * kLeastPause) return;
      version = now.version;
      view_told = Clock::now();
    }
    sink({"view", to_json(now, may_operate), false, false});
  }

  void trace() {
    {
      const std::lock_guard lock{mutex};
      if (Clock::now() - trace_told < kLeastPause) return;
      trace_told = Clock::now();
    }
    sink({"trace", to_json(session->live().trace(kTrace_s)), false, false});
  }

  std::shared_ptr<RunSession> session;
  bool may_operate;
  EventSink sink;
  std::mutex mutex;
  std::uint64_t version = 0;
  Clock::time_point view_told{}, trace_told{};
};

HttpResponse stream_of(const std::shared_ptr<RunSession>& session, bool may_operate) {
  HttpResponse response;
  response.events = [session, may_operate](EventSink sink) {
    const auto telling = std::make_shared<Telling>(session, may_operate, std::move(sink));
    telling->sink({"trace", to_json(session->live().trace(kFirstTrace_s)), false, true});
    telling->view();
    auto stop =
        session->live().listen({[telling] { telling->view(); }, [telling] { telling->trace(); }});
    return [session, stop = std::move(stop)] { stop(); };
  };
  return response;
}

}  // namespace

RunRoutes::RunRoutes(std::optional<std::string> book, KeepAnswer keep_answer,
                     std::function<void(const RunSession&)> on_answered)
    : book_{std::move(book)},
      keep_answer_{std::move(keep_answer)},
      on_answered_{std::move(on_answered)} {}

RunRoutes::~RunRoutes() { stop(); }

std::shared_ptr<RunSession> RunRoutes::session() const {
  const std::lock_guard lock{mutex_};
  return session_;
}

void RunRoutes::stop() {
  if (const auto now = session()) now->live().leave();
  if (thread_.joinable()) thread_.join();
}

Result<Done> RunRoutes::begin(const RunSessionRequest& request) {
  if (!book_) return no_book();
  const std::lock_guard alone{opening_};
  {
    const std::lock_guard lock{mutex_};
    if (going_on_) {
      return Error{ErrorKind::BadInput, "a run is going on already", "the live run",
                   "one at a time", "go to #/cockpit, or stop it first"};
    }
    going_on_ = true;
    session_.reset();  // its book is let go
  }
  if (thread_.joinable()) thread_.join();
  RunSessionRequest whole = request;
  whole.run.book_path = *book_;
  auto opened = RunSession::open(std::move(whole));
  const std::lock_guard lock{mutex_};
  if (!opened) {
    going_on_ = false;
    return opened.error();
  }
  session_ = std::move(opened).value();
  thread_ = std::thread{[this, session = session_] {
    // What went wrong stands in the view, where somebody looks.
    static_cast<void>(session->live().run());
    if (session->live().answered()) {
      session->live().set_ids(keep_answer_(session->live()));
      if (on_answered_) on_answered_(*session);
    }
    const std::lock_guard ended{mutex_};
    going_on_ = false;
  }};
  return Done{};
}

bool RunRoutes::handle(const HttpRequest& request, const Reply& reply) {
  if (request.path == "/api/book") {
    request.method == "GET" ? book(reply) : reply(method_not_known(request, "GET"));
    return true;
  }
  if (request.path == "/api/runs") {
    request.method == "POST" ? start(request, reply) : reply(method_not_known(request, "POST"));
    return true;
  }
  const std::string prefix = "/api/run";
  if (request.path != prefix && request.path.rfind(prefix + "/", 0) != 0) return false;
  in_run(request, request.path.substr(std::min(request.path.size(), prefix.size() + 1)), reply);
  return true;
}

void RunRoutes::book(const Reply& reply) const {
  if (!book_) return reply(answer_error(404, no_book()));
  bool running = false;
  {
    const std::lock_guard lock{mutex_};
    running = going_on_;
  }
  const auto json = book_json(*book_, running);
  reply(json ? answer_json(200, json.value()) : answer_error(json.error()));
}

void RunRoutes::keep(std::function<HttpResponse(const InBook&)> work, const Reply& reply) {
  work_.post([this, work = std::move(work), reply] {
    reply(work([this](const UseOfBook& use) { return in_book(use); }));
  });
}

Result<std::string> RunRoutes::in_book(const UseOfBook& use) {
  const std::lock_guard alone{opening_};
  if (const auto now = session()) return now->live().with_book(use);
  return with_book_at(*book_, use);
}

void RunRoutes::start(const HttpRequest& request, const Reply& reply) {
  auto order = run_start_from_json(request.body);
  if (!order) return reply(answer_error(order.error()));
  work_.post(
      [this, order = std::move(order).value(), reply, may_operate = request.role == Role::operate] {
        bool busy = false;
        {
          const std::lock_guard lock{mutex_};
          busy = going_on_;
        }
        const auto begun = begin(order);
        if (!begun)
          return reply(busy ? answer_error(409, begun.error()) : answer_error(begun.error()));
        reply(answer_json(201, to_json(session()->live().view(), may_operate)));
      });
}

void RunRoutes::in_run(const HttpRequest& request, const std::string& what, const Reply& reply) {
  const auto now = session();
  if (!now) return reply(answer_error(404, no_run()));
  const bool may_operate = request.role == Role::operate;
  const bool get = request.method == "GET";
  if (what.empty() || what == "clock" || what == "events") {
    if (!get) return reply(method_not_known(request, "GET"));
    if (what == "events") return reply(stream_of(now, may_operate));
    if (what.empty()) return reply(answer_json(200, to_json(now->live().view(), may_operate)));
    const nlohmann::json clock{{"now_s", now->live().now_s()},
                               {"speed", now->live().clock_speed()}};
    return reply(answer_json(200, clock.dump()));
  }
  if (what != "answers" && what != "typed") return reply(no_such_address(request));
  if (request.method != "POST") return reply(method_not_known(request, "POST"));
  if (what == "typed") {
    const auto line = typed_reading_from_json(request.body);
    if (!line) return reply(answer_error(line.error()));
    const auto typed = now->live().type(line.value());
    return reply(typed ? answer_json(200, "{}") : answer_error(400, typed.error()));
  }
  auto answer = run_answer_from_json(request.body);
  if (!answer) return reply(answer_error(answer.error()));
  work_.post([now, answer = std::move(answer).value(), reply, may_operate] {
    const auto view = now->live().answer(answer);
    reply(view ? answer_json(200, to_json(view.value(), may_operate)) : answer_error(view.error()));
  });
}

}  // namespace qn
