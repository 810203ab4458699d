// SPDX-License-Identifier: Apache-2.0
#include "cli/progress_line.h"

#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>

namespace truepull {

ProgressLine::ProgressLine(std::string doing, bool quiet) : doing_(std::move(doing)) {
  if (!quiet && isatty(STDERR_FILENO) != 0) thread_ = std::thread([this] { Run(); });
}

ProgressLine::~ProgressLine() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock(mutex_);
    done_ = true;
  }
  wake_.notify_one();
  thread_.join();
}

void ProgressLine::Now(std::string doing) {
  const std::lock_guard lock(mutex_);
  doing_ = std::move(doing);
}

void ProgressLine::Run() {
  using namespace std::chrono_literals;
  std::unique_lock lock(mutex_);
  int seconds = 0;
  while (!wake_.wait_for(lock, 1s, [this] { return done_; })) {
    ++seconds;
    fmt::print(stderr, "\r\033[K{} ... {} s", doing_, seconds);
    std::fflush(stderr);
  }
  if (seconds > 0) {
    fmt::print(stderr, "\r\033[K");
    std::fflush(stderr);
  }
}

}  // namespace truepull
