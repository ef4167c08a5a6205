// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/page_canvas.h"
#include "vocab/verdict.h"

namespace qn {

/// How one verdict is printed: by hue, by hatch and by the place of its mark, beside its word.
struct VerdictLook {
  Ink ink;
  Ink pale;
  Hatch hatch = Hatch::level;
};
VerdictLook look_of(VerdictState state);

/// A small bar against a limit line, then the word: left of the line `within`, right of it `over`,
/// open and hatched across it `unproven`. `baseline` is that of the word.
void verdict_mark(PageCanvas& canvas, PagePoint baseline, VerdictState state, double size_pt);

}  // namespace qn
