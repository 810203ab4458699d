// SPDX-License-Identifier: Apache-2.0
#include "truepull/reading_cache.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdint>
#include <fstream>
#include <system_error>

#include "truepull/io.h"

namespace truepull {

// FNV-1a twice with different starts: a chance match among a million photos is under 1e-26.
std::string ReadingCache::KeyOf(std::string_view bytes) {
  std::uint64_t a = 14695981039346656037ull, b = 0x9E3779B97F4A7C15ull;
  for (const char c : bytes) {
    a = (a ^ static_cast<unsigned char>(c)) * 1099511628211ull;
    b = (b ^ static_cast<unsigned char>(c)) * 0xD6E8FEB86659FD93ull;
    b ^= b >> 29;
  }
  return fmt::format("{:016x}{:016x}", a, b);
}

std::optional<std::string> ReadingCache::Get(const std::string& key, const char* ending) const {
  std::error_code ec;
  const std::filesystem::path file = folder_ / (key + ending);
  if (!std::filesystem::is_regular_file(file, ec)) return std::nullopt;
  const auto bytes = ReadWholeFile(file, std::size_t{64} << 20);
  if (!bytes) return std::nullopt;
  return *bytes;
}

void ReadingCache::Put(const std::string& key, const char* ending, std::string_view bytes) const {
  std::error_code ec;
  std::filesystem::create_directories(folder_, ec);
  const std::filesystem::path file = folder_ / (key + ending);
  const std::filesystem::path part = folder_ / fmt::format(".{}{}.{}.part", key, ending, getpid());
  std::ofstream out(part, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (out) std::filesystem::rename(part, file, ec);
  if (!out || ec) std::filesystem::remove(part, ec);
}

}  // namespace truepull
