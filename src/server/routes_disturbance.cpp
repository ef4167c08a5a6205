// SPDX-License-Identifier: Apache-2.0
// The addresses of a disturbance run: starting it, moving its marks, asking what if.
#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_marks.h"
#include "app/what_if_disturbance.h"
#include "server/answers.h"
#include "server/disturbance_work.h"
#include "server/fit_work.h"
#include "server/routes.h"
#include "server/swing_work.h"

namespace qn {
namespace {

std::string stem_of(const std::string& name) { return name.substr(0, name.find_last_of('.')); }

}  // namespace

HttpResponse Routes::start_disturbance(const HttpRequest& request,
                                       const std::string& recording_id) {
  const auto recording = shelf_->find(recording_id);
  if (!recording) return no_such_thing("recording", recording_id);
  auto order = disturbance_order_from_json(request.body);
  if (!order) return answer_error(order.error());
  DisturbanceRequest run = order.value().request;
  run.log_path = recording->file->path();
  run.log_name = recording->name;
  run.column_map = recording->column_map;
  run.marks_name = shown_name(order.value().marks_name, "marks.csv");
  run.equipment_name = shown_name(order.value().equipment_name, "equipment.csv");
  auto marks = folder_->write(order.value().marks_csv, run.marks_name);
  if (!marks) return answer_error(marks.error());
  run.marks_path = marks.value()->path();
  std::vector<std::shared_ptr<ScratchFile>> files{marks.value()};
  if (!order.value().equipment_csv.empty()) {
    auto equipment = folder_->write(order.value().equipment_csv, run.equipment_name);
    if (!equipment) return answer_error(equipment.error());
    run.equipment_path = equipment.value()->path();
    files.push_back(equipment.value());
  }
  const std::string id = board_.start(disturbance_work(std::move(run), recording, files));
  return id.empty() ? too_much_waiting() : answer_json(202, nlohmann::json{{"id", id}}.dump());
}

RunAnswerIds Routes::keep_answer_of(const LiveRun& run) {
  RunAnswerIds ids;
  const auto files = run.files();
  if (run.setup().procedure == RunSetup::Procedure::swing) {
    ids.swing = board_.start(swing_work(run.answered(), files->marks_name));
    return ids;
  }
  auto log = folder_->write(files->log_csv, files->log_name);
  auto marks = folder_->write(files->marks_csv, files->marks_name);
  const bool turning = run.setup().procedure == RunSetup::Procedure::sensor;
  auto equipment = folder_->write(files->equipment_csv, files->equipment_name);
  // A full disk costs the page's drawing of the answer; the answer itself is in the book.
  if (!log || !marks || !equipment) return {};
  auto preview = preview_recording(log.value()->path(), files->log_name, {});
  if (!preview) return {};
  auto kept = std::make_shared<const KeptRecording>(KeptRecording{
      new_id(), files->log_name, {}, std::move(log).value(), std::move(preview).value()});
  shelf_->put(kept);
  ids.recording = kept->id;
  if (turning) {
    FitRequest fit = fit_request_of(run.setup());
    fit.log_path = kept->file->path();
    fit.log_name = kept->name;
    fit.stations_path = marks.value()->path();
    ids.fit = board_.start(fit_work(std::move(fit), kept, marks.value(), options_.uses));
    return ids;
  }
  DisturbanceRequest request = run.setup().analysis;
  request.log_path = kept->file->path();
  request.log_name = kept->name;
  request.marks_path = marks.value()->path();
  request.marks_name = files->marks_name;
  request.equipment_path = equipment.value()->path();
  request.equipment_name = files->equipment_name;
  ids.disturbance = board_.start(disturbance_work(
      std::move(request), kept, {std::move(marks).value(), std::move(equipment).value()}));
  return ids;
}

HttpResponse Routes::marks(const std::string& id, MarksAs form) const {
  const auto news = board_.news("disturbance", id);
  if (!news) return no_such_thing("disturbance", id);
  if (!news->outcome) return no_answer_yet("disturbance", to_word(news->state));
  const WorkedDisturbance& worked = *news->outcome->disturbance;
  if (form == MarksAs::document) return answer_json(200, marks_json(worked.given, worked.marks));
  HttpResponse file;
  file.content_type = "text/csv; charset=utf-8";
  file.body = marks_csv(worked.marks);
  file.file_name = stem_of(worked.loaded->marks_file.name) + "-corrected.csv";
  return file;
}

void Routes::move_marks(const HttpRequest& request, const std::string& id, const Reply& reply) {
  const auto news = board_.news("disturbance", id);
  if (!news) return reply(no_such_thing("disturbance", id));
  if (!news->outcome) return reply(no_answer_yet("disturbance", to_word(news->state)));
  auto moved = moved_marks_from_json(request.body, news->outcome->disturbance->given.size());
  if (!moved) return reply(answer_error(moved.error()));
  quick_work_.post([replace = board_.replacing(id), reply, worked = news->outcome->disturbance,
                    moved = std::move(moved).value()] {
    try {
      auto outcome = with_marks_moved(*worked, moved);
      if (!outcome) return reply(answer_error(outcome.error()));
      auto done = std::make_shared<const WorkOutcome>(std::move(outcome).value());
      replace(done);
      reply(answer_json(200, done->document_json));
    } catch (const std::exception& trouble) {  // out of memory, most likely
      reply(answer_error(Error{ErrorKind::Io, std::string{"the work broke off: "} + trouble.what(),
                               "this run", "a recording that fits into this machine's memory",
                               "close other programs, and move the mark again"}));
    }
  });
}

void Routes::what_if_on(const HttpRequest& request, const std::string& id, const Reply& reply) {
  const auto news = board_.news("disturbance", id);
  if (!news) return reply(no_such_thing("disturbance", id));
  if (!news->outcome) return reply(no_answer_yet("disturbance", to_word(news->state)));
  auto on = what_if_from_json(request.body);
  if (!on) return reply(answer_error(on.error()));
  quick_work_.post([reply, document = news->outcome->disturbance->document,
                    on = std::move(on).value()] {
    const auto together = what_if(document->run, on);
    reply(together ? answer_json(200, to_json(together.value())) : answer_error(together.error()));
  });
}

}  // namespace qn
