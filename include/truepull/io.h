// SPDX-License-Identifier: Apache-2.0
// Files: the only place that opens one. Reading whole texts, decoding photos, and
// writing results so that nothing half-written stays behind.
#ifndef TRUEPULL_IO_H_
#define TRUEPULL_IO_H_

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/result.h"

namespace truepull {

/// Reads a whole file. Fails with kUnreadableFile (missing, a folder, over max_bytes).
Result<std::string> ReadWholeFile(const std::filesystem::path& path,
                                  std::size_t max_bytes = std::size_t{512} << 20);

/// A folder that results are written into, all or nothing.
///
/// Files are staged as temporaries inside the folder and renamed into place together by
/// Commit; a folder that is dropped without Commit leaves nothing behind (a folder that
/// Open made is removed again). Which files the program itself wrote is kept, with their
/// size and a hash, in DIR/.truepull-files, so that a file that is not ours, or that
/// someone has changed since, is never overwritten without `force`.
class OutputFolder {
 public:
  /// Makes the folder if need be (with parents) and checks that it can be written.
  /// Fails with kCannotWrite.
  static Result<OutputFolder> Open(const std::filesystem::path& folder, bool force);

  OutputFolder(OutputFolder&& other) noexcept;
  OutputFolder& operator=(OutputFolder&& other) noexcept;
  ~OutputFolder();

  /// Writes one file's bytes to a temporary. Fails with kCannotWrite when NAME exists
  /// there, was not written by the program (or was changed since) and not `force`.
  Status Stage(const std::string& name, std::string_view bytes);

  /// Renames all staged files into place and records them.
  Status Commit();

  const std::filesystem::path& folder() const { return folder_; }
  /// Names staged so far, in order.
  std::vector<std::string> names() const;

 private:
  OutputFolder() = default;
  void Discard() noexcept;

  struct Staged {
    std::string name;
    std::filesystem::path temporary;
    std::size_t size = 0;
    std::uint64_t hash = 0;
  };
  std::filesystem::path folder_;
  std::vector<std::filesystem::path> made_;  // Folders that Open made, outermost first.
  std::vector<Staged> staged_;
  bool force_ = false;
};

}  // namespace truepull

#endif  // TRUEPULL_IO_H_
