// SPDX-License-Identifier: Apache-2.0
// Runs the built program: arguments in; exit status, both streams and files out.
#ifndef TRUEPULL_TESTS_SUPPORT_PROGRAM_H_
#define TRUEPULL_TESTS_SUPPORT_PROGRAM_H_

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/places.h"

namespace truepull::testing {

struct ProgramRun {
  int exit_code = -1;  // 128 + the signal when one killed it.
  std::string out;
  std::string err;
};

/// Runs truepull with these arguments in a folder (the present one when empty).
inline ProgramRun RunTruepull(std::vector<std::string> arguments, const std::filesystem::path& in = {}) {
  const TemporaryFolder streams;
  const std::string out = (streams / "out").string(), err = (streams / "err").string();
  arguments.insert(arguments.begin(), ProgramFile());
  std::vector<char*> argv;
  for (std::string& a : arguments) argv.push_back(a.data());
  argv.push_back(nullptr);
  const pid_t child = fork();
  if (child < 0) throw std::runtime_error("cannot fork");
  if (child == 0) {
    const int o = open(out.c_str(), O_WRONLY | O_CREAT, 0600), e = open(err.c_str(), O_WRONLY | O_CREAT, 0600);
    if (o < 0 || e < 0 || dup2(o, STDOUT_FILENO) < 0 || dup2(e, STDERR_FILENO) < 0) _exit(126);
    if (!in.empty() && chdir(in.c_str()) != 0) _exit(126);
    execv(argv[0], argv.data());
    _exit(127);
  }
  int status = 0;
  waitpid(child, &status, 0);
  ProgramRun run;
  run.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  run.out = ReadFile(out);
  run.err = ReadFile(err);
  return run;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_PROGRAM_H_
