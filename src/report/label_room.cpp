// SPDX-License-Identifier: Apache-2.0
#include "report/label_room.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/plot_axes.h"

namespace qn {
namespace {

double distance(const PageBox& box, const std::vector<PagePoint>& points) {
  double least = std::numeric_limits<double>::infinity();
  for (const PagePoint& p : points) {
    const double dx = std::max({box.left - p.x, p.x - box.right, 0.0});
    const double dy = std::max({box.top - p.y, p.y - box.bottom, 0.0});
    least = std::min(least, std::hypot(dx, dy));
  }
  return least;
}

/// A steep line passes between its points, through words that none of them touches.
std::vector<PagePoint> close_together(const std::vector<PagePoint>& line) {
  constexpr double kStep_pt = 3.0;
  std::vector<PagePoint> out;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double dx = line[i + 1].x - line[i].x, dy = line[i + 1].y - line[i].y;
    const int parts = std::max(1, static_cast<int>(std::ceil(std::hypot(dx, dy) / kStep_pt)));
    for (int k = 0; k < parts; ++k) {
      const double share = static_cast<double>(k) / parts;
      out.push_back({line[i].x + share * dx, line[i].y + share * dy});
    }
  }
  if (!line.empty()) out.push_back(line.back());
  return out;
}

}  // namespace

void LabelRoom::avoid(const Lines& lines) {
  for (const auto& line : lines) {
    const auto points = close_together(line);
    points_.insert(points_.end(), points.begin(), points.end());
  }
}

void LabelRoom::name(const std::string& words, Ink colour, const Lines& line) {
  TextStyle style = strong_axis_words();
  style.ink = colour;
  style.halo = true;
  const double half = canvas_->label_width(words, style) / 2.0;
  double best_room = -std::numeric_limits<double>::infinity();
  PageBox best{};
  std::vector<PagePoint> own, others;
  for (const auto& part : line) {
    const auto points = close_together(part);
    own.insert(own.end(), points.begin(), points.end());
  }
  for (const PagePoint& point : points_) {
    const bool is_own = std::any_of(own.begin(), own.end(), [&](const PagePoint& p) {
      return p.x == point.x && p.y == point.y;
    });
    if (!is_own) others.push_back(point);
  }
  constexpr double kMistaken = 14.0;  // a name nearer to another line is taken for that one's
  const auto consider = [&](PagePoint point, double away) {
    for (const double baseline : {point.y - 3.2 - away, point.y + 9.4 + away}) {
      const PageBox box{point.x - half, baseline - 6.4, point.x + half, baseline + 1.8};
      double room = room_of(box) - 0.25 * away;  // far from its line a name is doubtful
      if (room > best_room && distance(box, others) < distance(box, own)) room -= kMistaken;
      if (room > best_room + 0.25) {
        best_room = room;
        best = box;
      }
    }
  };
  for (const auto& part : line) {
    for (const PagePoint& point : part) {
      for (const double away : {0.0, 5.0, 10.0, 16.0, 22.0, 30.0}) consider(point, away);
    }
  }
  if (!std::isfinite(best_room)) return;
  canvas_->label({(best.left + best.right) / 2.0, best.bottom - 1.8}, words, style, Anchor::middle);
  constexpr double kBetweenNames_pt = 5.0;
  boxes_.push_back(
      {best.left - kBetweenNames_pt, best.top, best.right + kBetweenNames_pt, best.bottom});
}

double LabelRoom::room_of(const PageBox& box) const {
  if (box.left < plot_.left + 1.0 || box.right > plot_.right - 1.0 || box.top < plot_.top - 1.0 ||
      box.bottom > plot_.bottom + 1.0) {
    return -std::numeric_limits<double>::infinity();
  }
  constexpr double kEnough_pt = 3.0;  // more room than this is not better
  double room = kEnough_pt;
  for (const PagePoint& p : points_) {
    const double dx = std::max({box.left - p.x, p.x - box.right, 0.0});
    const double dy = std::max({box.top - p.y, p.y - box.bottom, 0.0});
    const bool inside = dx == 0.0 && dy == 0.0;
    room = std::min(room, inside ? -10.0 : std::hypot(dx, dy));
  }
  for (const PageBox& other : boxes_) {
    if (overlap(box, other)) room = std::min(room, -40.0);
  }
  return room;
}

}  // namespace qn
