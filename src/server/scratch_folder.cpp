// SPDX-License-Identifier: Apache-2.0
#include "server/scratch_folder.h"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <system_error>

namespace qn {
namespace {

Error disk_refuses(const std::string& path, const std::string& reason) {
  return Error{ErrorKind::Io, "the disk does not take it: " + reason, path,
               "a folder that can be written, with room for the recording",
               "make room there, or set TMPDIR to another folder, and try again"};
}

}  // namespace

ScratchFile::~ScratchFile() {
  std::error_code ignored;
  std::filesystem::remove(path_, ignored);
}

Result<std::unique_ptr<ScratchFolder>> ScratchFolder::make(const std::string& parent) {
  std::error_code failed;
  const std::string base =
      parent.empty() ? std::filesystem::temp_directory_path(failed).string() : parent;
  if (failed) return disk_refuses("folder for temporary files", failed.message());
  std::string name = base + "/quietnorth-XXXXXX";
  if (mkdtemp(name.data()) == nullptr) return disk_refuses(base, std::strerror(errno));
  return std::unique_ptr<ScratchFolder>{new ScratchFolder{name}};
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string ScratchFolder::new_path() { return path_ + "/" + std::to_string(++count_); }

Result<std::shared_ptr<ScratchFile>> ScratchFolder::write(const std::string& bytes,
                                                          const std::string& name) {
  const std::string own = new_path();
  std::error_code failed;
  std::filesystem::create_directory(own, failed);
  if (failed) return disk_refuses(own, failed.message());
  auto file = std::make_shared<ScratchFile>(own + "/" + name);
  std::ofstream out{file->path(), std::ios::binary};
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) return disk_refuses(file->path(), "writing failed");
  return file;
}

}  // namespace qn
