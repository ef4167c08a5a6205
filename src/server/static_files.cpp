// SPDX-License-Identifier: Apache-2.0
#include "server/static_files.h"

// Made by cmake/web.cmake from web/; the bytes between the two symbols are the file.
extern "C" {
extern const char qn_web_index_html[], qn_web_index_html_end[];
extern const char qn_web_app_js[], qn_web_app_js_end[];
extern const char qn_web_app_css[], qn_web_app_css_end[];
extern const char qn_web_icon_svg[], qn_web_icon_svg_end[];
extern const char qn_web_worker_js[], qn_web_worker_js_end[];
}

namespace qn {

std::optional<HttpResponse> static_file(const std::string& path) {
  const auto file = [](const char* type, const char* begin, const char* end) {
    HttpResponse response;
    response.content_type = type;
    response.body.assign(begin, end);
    return response;
  };
  if (path == "/")
    return file("text/html; charset=utf-8", qn_web_index_html, qn_web_index_html_end);
  if (path == "/app.js") {
    return file("text/javascript; charset=utf-8", qn_web_app_js, qn_web_app_js_end);
  }
  if (path == "/app.css")
    return file("text/css; charset=utf-8", qn_web_app_css, qn_web_app_css_end);
  if (path == "/worker.js") {
    return file("text/javascript; charset=utf-8", qn_web_worker_js, qn_web_worker_js_end);
  }
  if (path == "/icon.svg") return file("image/svg+xml", qn_web_icon_svg, qn_web_icon_svg_end);
  return std::nullopt;
}

}  // namespace qn
