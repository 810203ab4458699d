// SPDX-License-Identifier: Apache-2.0
// Readings kept from one review to the next, so that no photo is measured twice.
#ifndef TRUEPULL_READING_CACHE_H_
#define TRUEPULL_READING_CACHE_H_

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace truepull {

/// Keeps texts by key in a folder of its own, one file each, written whole or not at all. A
/// folder that cannot be written keeps nothing and is no failure: all still works, slower.
class ReadingCache {
 public:
  explicit ReadingCache(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// 128 bits of the contents, as 32 letters: what tells one photo or plan from another.
  static std::string KeyOf(std::string_view bytes);

  std::optional<std::string> Get(const std::string& key, const char* ending) const;
  void Put(const std::string& key, const char* ending, std::string_view bytes) const;

 private:
  std::filesystem::path folder_;
};

}  // namespace truepull

#endif  // TRUEPULL_READING_CACHE_H_
