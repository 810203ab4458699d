// SPDX-License-Identifier: Apache-2.0
// A value or the reason why there is none: how every function that can fail says so.
#ifndef TRUEPULL_RESULT_H_
#define TRUEPULL_RESULT_H_

#include <stdexcept>
#include <string>
#include <utility>
#include <variant>

namespace truepull {

/// What went wrong, one sentence each.
enum class ErrorCode {
  kBadArgument,     // An option or argument cannot be what was given.
  kUnreadableFile,  // A file is not there, or is not what its name says.
  kInvalidFile,     // A file was read, but what it says cannot be.
  kPhotoUnusable,   // The photo shows too little (dark, blurred, too small or big).
  kSheetNotFound,   // No sheet, or too little of its edges, is in the photo.
  kTooFewPoints,    // Too few found sites or points for the fit asked for.
  kCannotWrite,     // A result could not be written.
};

/// One failure, in the printer's words.
struct Error {
  ErrorCode code = ErrorCode::kBadArgument;
  std::string message;  // What and where: "photo.jpg: found 3 of the 4 sheet edges".
  std::string hint;     // A way out; may be empty.
};

/// Holds a T or an Error. Its names are those of std::expected, so that moving to
/// C++23 is a rename.
template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::move(value)) {}      // NOLINT: implicit on purpose.
  Result(Error error) : held_(std::move(error)) {}  // NOLINT: implicit on purpose.

  bool has_value() const { return held_.index() == 0; }
  explicit operator bool() const { return has_value(); }

  /// The value; throws std::logic_error when there is none (a bug of the caller).
  T& value() & {
    if (!has_value()) throw std::logic_error("no value: " + std::get<1>(held_).message);
    return std::get<0>(held_);
  }
  const T& value() const& { return const_cast<Result*>(this)->value(); }
  T&& value() && { return std::move(static_cast<Result&>(*this).value()); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  const Error& error() const {
    if (has_value()) throw std::logic_error("no error to ask for");
    return std::get<1>(held_);
  }

 private:
  std::variant<T, Error> held_;
};

/// The value of a function that only succeeds or fails.
struct Done {};
using Status = Result<Done>;

}  // namespace truepull

#endif  // TRUEPULL_RESULT_H_
