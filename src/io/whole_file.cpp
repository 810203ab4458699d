// SPDX-License-Identifier: Apache-2.0
#include <fstream>
#include <system_error>

#include "truepull/io.h"

namespace truepull {

Result<std::string> ReadWholeFile(const std::filesystem::path& path, std::size_t max_bytes) {
  std::error_code ec;
  const auto status = std::filesystem::status(path, ec);
  if (ec || !std::filesystem::exists(status)) {
    return Error{ErrorCode::kUnreadableFile, path.string() + ": there is no such file",
                 "check the name and the folder"};
  }
  if (std::filesystem::is_directory(status)) {
    return Error{ErrorCode::kUnreadableFile, path.string() + ": is a folder, not a file", ""};
  }
  std::ifstream in(path, std::ios::binary);
  if (!in) {
    return Error{ErrorCode::kUnreadableFile, path.string() + ": cannot be opened for reading",
                 "check that you may read it"};
  }
  std::string bytes;
  char block[1 << 16];
  while (in.read(block, sizeof block), in.gcount() > 0) {
    bytes.append(block, static_cast<std::size_t>(in.gcount()));
    if (bytes.size() > max_bytes) {
      return Error{ErrorCode::kUnreadableFile,
                   path.string() + ": is larger than " + std::to_string(max_bytes >> 20) +
                       " MB, which no file of this kind should be",
                   ""};
    }
  }
  return bytes;
}

}  // namespace truepull
