// SPDX-License-Identifier: Apache-2.0
// What the page asks of a swing beside its answer and its sheet.
#include "server/answers.h"
#include "server/routes.h"
#include "server/swing_work.h"

namespace qn {

void Routes::card(const HttpRequest& request, const std::string& id, const Reply& reply) {
  const auto news = board_.news("swing", id);
  if (!news) return reply(no_such_thing("swing", id));
  if (!news->outcome) return reply(no_answer_yet("swing", to_word(news->state)));
  chores_.post([outcome = news->outcome, request, reply] {
    reply(card_of_swing(request, *outcome->swing, outcome->log_name));
  });
}

}  // namespace qn
