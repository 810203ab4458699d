// SPDX-License-Identifier: Apache-2.0
// Says on a terminal what is going on, once it takes over a second.
#ifndef TRUEPULL_CLI_PROGRESS_LINE_H_
#define TRUEPULL_CLI_PROGRESS_LINE_H_

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

namespace truepull {

/// Shows "reading sheet-07.jpg ... 3 s" on standard error while it lives, from one
/// second on, only when standard error is a terminal and not `quiet`; wipes it when done.
class ProgressLine {
 public:
  ProgressLine(std::string doing, bool quiet);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// Changes what is said, e.g. from "finding the sheet" to "measuring the sites".
  void Now(std::string doing);

 private:
  void Run();

  std::string doing_;
  bool done_ = false;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::thread thread_;
};

}  // namespace truepull

#endif  // TRUEPULL_CLI_PROGRESS_LINE_H_
