// SPDX-License-Identifier: Apache-2.0
#include "fuzz/watched_run.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <functional>
#include <stdexcept>
#include <thread>

#include "fuzz/mutate.h"

namespace truepull::testing {
namespace {

using Clock = std::chrono::steady_clock;

double SecondsSince(Clock::time_point t) { return std::chrono::duration<double>(Clock::now() - t).count(); }

// What both processes see.
struct Progress {
  std::atomic<std::uint64_t> done{0}, taken{0};
  std::atomic<double> longest_s{0};
};

// In the child: one file after the other. Decoders complain on the error stream; nobody reads that here.
[[noreturn]] void Feed(const FuzzTarget& target, std::uint64_t seed, std::uint64_t from, std::uint64_t runs, Progress& progress) {
  const int nowhere = open("/dev/null", O_WRONLY);
  if (nowhere >= 0) dup2(nowhere, STDERR_FILENO);
  for (std::uint64_t k = 0; k < runs; ++k) {
    const std::string bytes = SpoiledFile(target, seed, from + k);
    const auto began = Clock::now();
    if (target.read(bytes)) ++progress.taken;
    progress.longest_s = std::max<double>(progress.longest_s, SecondsSince(began));
    ++progress.done;
  }
  _exit(0);
}

// Waits until the child ends, or kills it when one file takes too long; then `hung` holds.
int Watch(pid_t child, const Progress& progress, const FuzzLimits& limits, rusage& used, bool& hung) {
  std::uint64_t seen = progress.done;
  auto since = Clock::now();
  for (int status = 0;;) {
    if (wait4(child, &status, WNOHANG, &used) == child) return status;
    if (progress.done != seen) {
      seen = progress.done;
      since = Clock::now();
    } else if (!hung && SecondsSince(since) > limits.seconds) {
      hung = true;
      kill(child, SIGKILL);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
}

}  // namespace

std::string SpoiledFile(const FuzzTarget& target, std::uint64_t seed, std::uint64_t run) {
  std::seed_seq mixed{seed, run, static_cast<std::uint64_t>(std::hash<std::string>{}(target.name))};
  std::mt19937_64 chance(mixed);
  return Spoiled(target.files, target.text, chance);
}

FuzzOutcome RunWatched(const FuzzTarget& target, std::uint64_t seed, std::uint64_t from, std::uint64_t runs, const FuzzLimits& limits) {
  void* shared = mmap(nullptr, sizeof(Progress), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  if (shared == MAP_FAILED) throw std::runtime_error("no shared memory");
  Progress& progress = *new (shared) Progress;
  FuzzOutcome outcome;
  while (outcome.runs < runs) {
    progress.done = 0;
    const pid_t child = fork();
    if (child < 0) throw std::runtime_error("cannot fork");
    if (child == 0) Feed(target, seed, from + outcome.runs, runs - outcome.runs, progress);
    rusage used{};
    bool hung = false;
    const int status = Watch(child, progress, limits, used, hung);
    outcome.runs += progress.done;
    const long peak_mb = used.ru_maxrss / 1024;
    if (peak_mb > limits.memory_mb) outcome.faults.push_back({from + outcome.runs - 1, "took " + std::to_string(peak_mb) + " MB by this run"});
    outcome.peak_mb = std::max(outcome.peak_mb, peak_mb);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 0) continue;
    const std::string how = hung ? "took longer than " + std::to_string(static_cast<int>(limits.seconds)) + " s"
                            : WIFSIGNALED(status) ? "crashed (signal " + std::to_string(WTERMSIG(status)) + ")"
                                                  : "ended (status " + std::to_string(WEXITSTATUS(status)) + ")";
    outcome.faults.push_back({from + outcome.runs, how});
    ++outcome.runs;
  }
  outcome.taken = progress.taken;
  outcome.longest_s = progress.longest_s;
  munmap(shared, sizeof(Progress));
  return outcome;
}

}  // namespace truepull::testing
