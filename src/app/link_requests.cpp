// SPDX-License-Identifier: Apache-2.0
#include "app/link_requests.h"

#include <fmt/format.h>

#include <functional>

#include "acquire/decimal.h"

namespace qn {
namespace {

using Apply = std::function<Result<Done>(DecoderOptions& options, const std::string& value)>;

Result<Done> for_each_meant(const std::vector<std::string>& entries, const char* option,
                            std::vector<LinkRequest>& links, const Apply& apply) {
  for (const std::string& entry : entries) {
    const std::size_t colon = entry.find(':');
    const auto number = parse_number(std::string_view{entry}.substr(0, colon));
    const bool one = colon != std::string::npos && number.has_value();
    const std::string value = one ? entry.substr(colon + 1) : entry;
    bool any = false;
    for (std::size_t i = 0; i < links.size(); ++i) {
      if (one && *number != static_cast<double>(i + 1)) continue;
      any = true;
      if (auto applied = apply(links[i].decoder, value); !applied) return applied.error();
    }
    if (any || links.empty()) continue;
    return Error{ErrorKind::OutOfRange, fmt::format("there is no link {}", entry.substr(0, colon)),
                 fmt::format("option '{} {}'", option, entry),
                 fmt::format("a number from 1 to {}, in the order of the links", links.size()),
                 "correct the number before the colon"};
  }
  return Done{};
}

}  // namespace

Result<std::vector<LinkRequest>> link_requests(const std::vector<std::string>& addresses,
                                               const DecoderWords& words) {
  std::vector<LinkRequest> links;
  for (const std::string& address : addresses) links.push_back({address, {}});
  auto done = for_each_meant(
      words.decoders, "--decoder", links,
      [](DecoderOptions& options, const std::string& value) -> Result<Done> {
        const auto kind = decoder_kind_from(value);
        if (!kind) {
          return Error{ErrorKind::OutOfRange, fmt::format("there is no decoder '{}'", value),
                       "option --decoder", "one of automatic, nmea, lines, typed",
                       "choose one of these, or leave the option out"};
        }
        options.kind = *kind;
        return Done{};
      });
  if (!done) return done.error();
  done = for_each_meant(words.columns, "--columns", links,
                        [](DecoderOptions& options, const std::string& value) {
                          options.columns = value;
                          return Result<Done>{Done{}};
                        });
  if (!done) return done.error();
  done = for_each_meant(words.maps, "--map", links,
                        [](DecoderOptions& options, const std::string& value) {
                          options.column_map.push_back(value);
                          return Result<Done>{Done{}};
                        });
  if (!done) return done.error();
  return links;
}

}  // namespace qn
