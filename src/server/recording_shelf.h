// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "app/recording_preview.h"
#include "server/scratch_folder.h"

namespace qn {

/// A recording that the page brought, and what was seen in it. Does not change once made.
struct KeptRecording {
  std::string id;
  std::string name;
  std::vector<std::string> column_map;
  std::shared_ptr<ScratchFile> file;
  RecordingPreview preview;
};

/// Not guessable, so that no other page can name what is kept here.
std::string new_id();

/// The recordings of this run. Safe from any thread.
class RecordingShelf {
 public:
  void put(std::shared_ptr<const KeptRecording> recording);
  std::shared_ptr<const KeptRecording> find(const std::string& id) const;  ///< null: none such

 private:
  // A page needs one; a few more serve other windows and going back. Older ones make room.
  static constexpr std::size_t kMost = 8;
  mutable std::mutex mutex_;
  std::deque<std::shared_ptr<const KeptRecording>> kept_;
};

}  // namespace qn
