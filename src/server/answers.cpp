// SPDX-License-Identifier: Apache-2.0
#include "server/answers.h"

#include <fmt/core.h>

#include "server/dto_fit.h"

namespace qn {

HttpResponse answer_json(int status, std::string json) {
  HttpResponse response;
  response.status = status;
  response.body = std::move(json);
  return response;
}

HttpResponse answer_error(int status, const Error& error) {
  return answer_json(status, error_json(error));
}

HttpResponse answer_error(const Error& error) {
  return answer_error(error.kind == ErrorKind::Io ? 500 : 400, error);
}

HttpResponse answer_sheet(const Result<std::string>& bytes, SheetFormat format,
                          const std::string& name) {
  if (!bytes) return answer_error(bytes.error());
  const bool pdf = format == SheetFormat::pdf;
  HttpResponse sheet;
  sheet.content_type = pdf ? "application/pdf" : "image/svg+xml";
  sheet.body = bytes.value();
  sheet.file_name = name + (pdf ? ".pdf" : ".svg");
  return sheet;
}

Error no_book() {
  return {ErrorKind::BadInput, "the program was started without a book", "the aircraft's book",
          "a program that has one", "start it with 'quietnorth serve --book FILE'"};
}

HttpResponse not_from_here(const HttpRequest& request, std::uint16_t port) {
  const std::string here = fmt::format("http://127.0.0.1:{}", port);
  return answer_error(
      403, Error{ErrorKind::BadInput,
                 fmt::format("the request names the host '{}' and comes from '{}'", request.host,
                             request.origin.empty() ? "no page" : request.origin),
                 "headers Host, Origin and Sec-Fetch-Site",
                 here + " (or localhost), from this program's own page",
                 "open " + here + "/ and work from there"});
}

HttpResponse no_such_address(const HttpRequest& request) {
  return answer_error(404, Error{ErrorKind::BadInput, "nothing is kept at this address",
                                 request.method + " " + request.path.substr(0, 200),
                                 "an address of src/server/api.yaml", "start again from /"});
}

HttpResponse no_such_thing(const std::string& kind, const std::string& id) {
  return answer_error(
      404, Error{ErrorKind::BadInput,
                 fmt::format("no {} with the id '{}' is kept here", kind, id.substr(0, 40)),
                 "address", fmt::format("the id of a {} of this run of the program", kind),
                 "bring the recording in again: what an earlier run held is gone"});
}

HttpResponse method_not_known(const HttpRequest& request, const std::string& known) {
  return answer_error(405,
                      Error{ErrorKind::BadInput,
                            fmt::format("the method '{}' is not answered here", request.method),
                            request.path.substr(0, 200), known, "use the method named above"});
}

HttpResponse body_too_large(const HttpRequest& request, std::uint64_t limit) {
  const std::string found = request.content_length.empty()
                                ? "more than that"
                                : fmt::format("{} bytes", request.content_length.substr(0, 24));
  return answer_error(
      413,
      Error{ErrorKind::BadInput, fmt::format("what was sent is too large: {}", found),
            request.file_name.empty() ? request.path.substr(0, 200) : request.file_name,
            fmt::format("at most {} bytes", limit),
            "cut the recording into parts, or solve it on the command line, which has no limit"});
}

HttpResponse not_readable(const std::string& what) {
  return answer_error(400, Error{ErrorKind::BadInput, "the request cannot be read: " + what,
                                 "request", "an HTTP/1.1 request with a header of at most 8 KB",
                                 "send it again; nothing was changed"});
}

HttpResponse too_much_waiting() {
  return answer_error(
      503, Error{ErrorKind::Io, "eight pieces of work are waiting already", "this program",
                 "one at a time, a few waiting", "wait until some have ended, or stop them"});
}

HttpResponse no_answer_yet(const std::string& kind, const std::string& state) {
  return answer_error(
      400, Error{ErrorKind::BadInput, "this " + kind + " has no answer yet: it is " + state,
                 "address", "a " + kind + " that is done", "wait for it, or start it again"});
}

}  // namespace qn
