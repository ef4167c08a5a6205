// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/fit_sensor_log.h"
#include "server/http_server_internal.h"
#include "vocab/result.h"

namespace qn {

/// 400 for what the asker can mend, 500 for what this machine could not do.
HttpResponse answer_error(const Error& error);
HttpResponse answer_error(int status, const Error& error);

HttpResponse answer_json(int status, std::string json);

/// A sheet to be saved as NAME.pdf or .svg, or why there is none.
HttpResponse answer_sheet(const Result<std::string>& bytes, SheetFormat format,
                          const std::string& name);

Error no_book();

/// The refusals of api.yaml, each with all four parts.
HttpResponse not_from_here(const HttpRequest& request, std::uint16_t port);
HttpResponse no_such_address(const HttpRequest& request);
HttpResponse no_such_thing(const std::string& kind, const std::string& id);
HttpResponse method_not_known(const HttpRequest& request, const std::string& known);
HttpResponse body_too_large(const HttpRequest& request, std::uint64_t limit);
HttpResponse not_readable(const std::string& what);
HttpResponse too_much_waiting();
HttpResponse no_answer_yet(const std::string& kind, const std::string& state);

}  // namespace qn
