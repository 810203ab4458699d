// SPDX-License-Identifier: Apache-2.0
// Numbers read from bytes; places past the end read as zero and are remembered.
#ifndef TRUEPULL_IO_BYTE_VIEW_H_
#define TRUEPULL_IO_BYTE_VIEW_H_

#include <cstdint>
#include <string_view>

namespace truepull {

class ByteView {
 public:
  ByteView(std::string_view bytes, bool little) : bytes_(bytes), little_(little) {}

  std::uint64_t size() const { return bytes_.size(); }
  bool Has(std::uint64_t at, std::uint64_t count) const {
    return at <= bytes_.size() && count <= bytes_.size() - at;
  }
  std::uint32_t U8(std::uint64_t at) const {
    return at < bytes_.size() ? static_cast<unsigned char>(bytes_[static_cast<std::size_t>(at)]) : 0u;
  }
  std::uint32_t U16(std::uint64_t at) const {
    return little_ ? U8(at) | U8(at + 1) << 8 : U8(at) << 8 | U8(at + 1);
  }
  std::uint32_t U24(std::uint64_t at) const {
    return little_ ? U16(at) | U8(at + 2) << 16 : U16(at) << 8 | U8(at + 2);
  }
  std::uint32_t U32(std::uint64_t at) const {
    return little_ ? U16(at) | U16(at + 2) << 16 : U16(at) << 16 | U16(at + 2);
  }
  bool Says(std::uint64_t at, std::string_view word) const {
    return Has(at, word.size()) && bytes_.substr(static_cast<std::size_t>(at), word.size()) == word;
  }
  std::string_view Part(std::uint64_t at, std::uint64_t count) const {
    if (at >= bytes_.size()) return {};
    return bytes_.substr(static_cast<std::size_t>(at), static_cast<std::size_t>(count));
  }

 private:
  std::string_view bytes_;
  bool little_;
};

}  // namespace truepull

#endif  // TRUEPULL_IO_BYTE_VIEW_H_
