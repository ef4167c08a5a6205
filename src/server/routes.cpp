// SPDX-License-Identifier: Apache-2.0
#include "server/routes.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "app/earth_at.h"
#include "app/version.h"
#include "server/air_routes.h"
#include "server/answers.h"
#include "server/dto_fit.h"
#include "server/dto_recording.h"
#include "server/fit_work.h"
#include "server/http_text_internal.h"
#include "server/static_files.h"

namespace qn {
namespace {

constexpr std::uint64_t kTextBodyLimit = 4'000'000;  // a request with a stations file in it

std::vector<std::string> parts_of(const std::string& path) {
  std::vector<std::string> parts;
  for (std::size_t from = 1; from <= path.size();) {
    const std::size_t end = std::min(path.find('/', from), path.size());
    parts.push_back(path.substr(from, end - from));
    from = end + 1;
  }
  return parts;
}

std::optional<double> number(const std::string& text) {
  double value = 0.0;
  const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (failed != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return std::isfinite(value) ? std::optional{value} : std::nullopt;
}

bool brings_recording(const HttpRequest& request) {
  return request.method == "POST" && request.path == "/api/recordings";
}

std::string stem(const std::string& name) { return name.substr(0, name.find_last_of('.')); }

/// "fits" is where the work of kind "fit" stands; empty: no such place.
std::string kind_at(const std::string& place) {
  return place == "fits"           ? "fit"
         : place == "disturbances" ? "disturbance"
         : place == "swings"       ? "swing"
                                   : "";
}

}  // namespace

std::string shown_name(std::string name, const std::string& otherwise) {
  name = name.substr(name.find_last_of("/\\") + 1).substr(0, 200);
  std::erase_if(name, [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; });
  return name.empty() ? otherwise : name;
}

Routes::Routes(const ServeOptions& options, std::unique_ptr<ScratchFolder> folder)
    : options_{options},
      folder_{std::move(folder)},
      run_{options.book, [this](const LiveRun& run) { return keep_answer_of(run); },
           options.on_answered} {}

Routes::~Routes() { stop(); }

void Routes::stop() {
  run_.stop();
  board_.stop_all();
}

HttpHandlers Routes::handlers() {
  return {
      .refuse = [this](const HttpRequest& request) { return refuse(request); },
      .body_place =
          [this](const HttpRequest& request) {
            if (brings_flight(request) && request.method == "POST") {
              return std::pair{std::min(kFlightLimit, options_.upload_limit_bytes),
                               folder_->new_path()};
            }
            return brings_recording(request)
                       ? std::pair{options_.upload_limit_bytes, folder_->new_path()}
                       : std::pair{kTextBodyLimit, std::string{}};
          },
      .too_large = body_too_large,
      .unreadable = not_readable,
      .handle = [this](const HttpRequest& request, const Reply& reply) { handle(request, reply); },
  };
}

std::optional<HttpResponse> Routes::refuse(const HttpRequest& request) const {
  if (!comes_from_here(request, port_)) return not_from_here(request, port_);
  return std::nullopt;
}

void Routes::handle(const HttpRequest& request, const Reply& reply) {
  const auto parts = parts_of(request.path);
  if (brings_recording(request)) return bring_recording(request, reply);
  if (keeps_flight(request)) return keep_in_book(request, reply);
  if (is_in_the_air(request)) {
    return quick_work_.post([request, reply] { reply(check_in_the_air(request)); });
  }
  if (run_.handle(request, reply)) return;
  if (parts.size() == 4 && parts[0] == "api" && !kind_at(parts[1]).empty()) {
    const std::string kind = kind_at(parts[1]);
    const bool get = request.method == "GET";
    const bool post = request.method == "POST";
    if (get && parts[3] == "sheet.pdf")
      return sheet(request, kind, parts[2], SheetFormat::pdf, reply);
    if (get && parts[3] == "sheet.svg")
      return sheet(request, kind, parts[2], SheetFormat::svg, reply);
    if (kind == "swing" && get && (parts[3] == "card.pdf" || parts[3] == "card.svg")) {
      return card(request, parts[2], reply);
    }
    if (kind == "disturbance") {
      if (post && parts[3] == "marks") return move_marks(request, parts[2], reply);
      if (post && parts[3] == "what-if") return what_if_on(request, parts[2], reply);
    }
  }
  reply(quick(request));
}

HttpResponse Routes::quick(const HttpRequest& request) {
  const auto parts = parts_of(request.path);
  const bool get = request.method == "GET";
  if (parts[0] != "api") {
    if (!get) return method_not_known(request, "GET");
    const auto file = static_file(request.path);
    return file ? *file : no_such_address(request);
  }
  const std::string kind = parts.size() > 1 ? parts[1] : "";
  const std::string id = parts.size() > 2 ? parts[2] : "";
  const std::string what = parts.size() > 3 ? parts[3] : "";
  if (parts.size() == 2 && kind == "about")
    return get ? about(request) : method_not_known(request, "GET");
  if (parts.size() == 2 && kind == "earth") {
    return get ? earth(request) : method_not_known(request, "GET");
  }
  if (parts.size() == 2 && kind == "recordings") return method_not_known(request, "POST");
  if (parts.size() == 3 && kind == "recordings") {
    if (!get) return method_not_known(request, "GET");
    const auto kept = shelf_->find(id);
    return kept ? answer_json(200, recording_json(*kept)) : no_such_thing("recording", id);
  }
  if (parts.size() == 4 && kind == "recordings" && what == "series") {
    return get ? series(request, id) : method_not_known(request, "GET");
  }
  if (parts.size() == 4 && kind == "recordings" && (what == "fits" || what == "disturbances")) {
    if (request.method != "POST") return method_not_known(request, "POST");
    return what == "fits" ? start_fit(request, id) : start_disturbance(request, id);
  }
  return kind_at(kind).empty() ? no_such_address(request) : quick_in(request, parts);
}

HttpResponse Routes::quick_in(const HttpRequest& request, const std::vector<std::string>& parts) {
  const bool get = request.method == "GET";
  const std::string kind = kind_at(parts[1]);
  const std::string id = parts.size() > 2 ? parts[2] : "";
  const std::string what = parts.size() > 3 ? parts[3] : "";
  if (parts.size() == 3) {
    if (request.method == "DELETE") {
      return board_.stop(kind, id) ? answer_of(kind, id) : no_such_thing(kind, id);
    }
    return get ? answer_of(kind, id) : method_not_known(request, "GET or DELETE");
  }
  if (parts.size() == 4 && what == "events") {
    if (!get) return method_not_known(request, "GET");
    if (!board_.news(kind, id)) return no_such_thing(kind, id);
    HttpResponse stream;
    stream.events = [this, id](EventSink sink) { return board_.listen(id, std::move(sink)); };
    return stream;
  }
  if (parts.size() == 4 && kind == "disturbance") {
    if (what == "marks") {
      return get ? marks(id, MarksAs::document) : method_not_known(request, "GET or POST");
    }
    if (what == "marks.csv") {
      return get ? marks(id, MarksAs::csv) : method_not_known(request, "GET");
    }
    if (what == "what-if") return method_not_known(request, "POST");
  }
  return no_such_address(request);
}

HttpResponse Routes::about(const HttpRequest& request) const {
  const std::uint64_t limit =
      request.from_network && options_.lan
          ? std::min(options_.upload_limit_bytes, options_.lan->limits.recording_bytes)
          : options_.upload_limit_bytes;
  const std::string book =
      options_.book ? std::filesystem::path{*options_.book}.filename().string() : std::string{};
  return answer_json(200, nlohmann::json{{"version", program_version()},
                                         {"upload_limit_bytes", limit},
                                         {"book", book},
                                         {"you", to_word(request.role)}}
                              .dump());
}

HttpResponse Routes::earth(const HttpRequest& request) const {
  const auto answer = earth_at(request.query_value("at"), request.query_value("on"));
  return answer ? answer_json(200, to_json(answer.value())) : answer_error(answer.error());
}

void Routes::bring_recording(const HttpRequest& request, const Reply& reply) {
  auto file = std::make_shared<ScratchFile>(request.body_file);
  const std::string name = shown_name(request.file_name, "recording");
  std::vector<std::string> map;
  for (const auto& [key, value] : request.query) {
    if (key == "map") map.push_back(value);
  }
  chores_.post([file, name, map, reply, shelf = shelf_] {
    try {
      auto preview = preview_recording(file->path(), name, map);
      if (!preview) return reply(answer_error(preview.error()));
      auto kept = std::make_shared<const KeptRecording>(
          KeptRecording{new_id(), name, map, file, std::move(preview).value()});
      shelf->put(kept);
      reply(answer_json(201, recording_json(*kept)));
    } catch (const std::exception& trouble) {  // out of memory, most likely
      reply(answer_error(Error{ErrorKind::Io, std::string{"reading broke off: "} + trouble.what(),
                               name, "a recording that fits into this machine's memory",
                               "close other programs, or cut the recording into parts"}));
    }
  });
}

HttpResponse Routes::series(const HttpRequest& request, const std::string& id) const {
  const auto recording = shelf_->find(id);
  if (!recording) return no_such_thing("recording", id);
  const auto& preview = recording->preview;
  double values[] = {preview.start_s, preview.start_s + preview.duration_s, 1000.0};
  const char* const names[] = {"from_s", "to_s", "points"};
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string text = request.query_value(names[i]);
    if (text.empty()) continue;
    const auto value = number(text);
    if (!value || (i == 2 && (*value < 2 || *value > 20000))) {
      return answer_error(Error{ErrorKind::BadInput, "found '" + text.substr(0, 40) + "'",
                                std::string{"query, "} + names[i],
                                i == 2 ? "a number from 2 to 20000" : "a number of seconds",
                                "correct it and ask again"});
    }
    values[i] = *value;
  }
  return answer_json(200, series_json(part_of(preview, values[0], values[1],
                                              static_cast<std::size_t>(values[2]))));
}

HttpResponse Routes::start_fit(const HttpRequest& request, const std::string& recording_id) {
  const auto recording = shelf_->find(recording_id);
  if (!recording) return no_such_thing("recording", recording_id);
  auto order = fit_order_from_json(request.body);
  if (!order) return answer_error(order.error());
  FitRequest fit = order.value().request;
  fit.log_path = recording->file->path();
  fit.log_name = recording->name;
  fit.column_map = recording->column_map;
  std::shared_ptr<ScratchFile> stations;
  if (!order.value().stations_csv.empty()) {
    auto written = folder_->write(order.value().stations_csv,
                                  shown_name(order.value().stations_name, "stations.csv"));
    if (!written) return answer_error(written.error());
    stations = written.value();
    fit.stations_path = stations->path();
  }
  const std::string id = board_.start(fit_work(std::move(fit), recording, stations, options_.uses));
  return id.empty() ? too_much_waiting() : answer_json(202, nlohmann::json{{"id", id}}.dump());
}

HttpResponse Routes::answer_of(const std::string& kind, const std::string& id) const {
  const auto news = board_.news(kind, id);
  if (!news) return no_such_thing(kind, id);
  if (news->state == WorkState::done) return answer_json(200, news->outcome->document_json);
  if (news->state == WorkState::failed) return answer_error(*news->error);
  return answer_json(news->state == WorkState::stopped ? 200 : 202, news_json(*news));
}

void Routes::sheet(const HttpRequest& request, const std::string& kind, const std::string& id,
                   SheetFormat format, const Reply& reply) {
  const auto news = board_.news(kind, id);
  if (!news) return reply(no_such_thing(kind, id));
  if (!news->outcome) return reply(no_answer_yet(kind, to_word(news->state)));
  const std::string paper = request.query_value("paper");
  if (!paper.empty() && paper != "a4" && paper != "letter") {
    return reply(answer_error(Error{ErrorKind::BadInput, "found '" + paper.substr(0, 40) + "'",
                                    "query, paper", "a4 or letter", "choose one of the two"}));
  }
  chores_.post([outcome = news->outcome, format, paper, reply] {
    const Paper size = paper == "letter" ? Paper::letter : Paper::a4;
    reply(answer_sheet(outcome->sheet(format, size), format, stem(outcome->log_name) + "-sheet"));
  });
}

void Routes::keep_in_book(const HttpRequest& request, const Reply& reply) {
  if (options_.book) {
    return run_.keep([request](const InBook& in_book) { return keep_flight(request, in_book); },
                     reply);
  }
  const ScratchFile not_needed{request.body_file};
  reply(answer_error(404, no_book()));
}

}  // namespace qn
