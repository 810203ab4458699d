// SPDX-License-Identifier: Apache-2.0
// The few flags that the benchmarks take: --name value, in any order.
#ifndef TRUEPULL_TESTS_BENCH_ARGUMENTS_H_
#define TRUEPULL_TESTS_BENCH_ARGUMENTS_H_

#include <cstdlib>
#include <map>
#include <set>
#include <stdexcept>
#include <string>

namespace truepull::bench {

class Arguments {
 public:
  Arguments(int argc, char** argv, const std::set<std::string>& known) {
    for (int i = 1; i < argc; i += 2) {
      const std::string name = argv[i];
      if (!known.contains(name)) throw std::runtime_error("there is no " + name);
      if (i + 1 >= argc) throw std::runtime_error(name + " needs a value");
      given_[name] = argv[i + 1];
    }
  }
  std::string Word(const std::string& name, const std::string& otherwise) const {
    const auto at = given_.find(name);
    return at == given_.end() ? otherwise : at->second;
  }
  int Whole(const std::string& name, int otherwise) const {
    const auto at = given_.find(name);
    return at == given_.end() ? otherwise : std::stoi(at->second);
  }
  double Number(const std::string& name, double otherwise) const {
    const auto at = given_.find(name);
    return at == given_.end() ? otherwise : std::stod(at->second);
  }

 private:
  std::map<std::string, std::string> given_;
};

}  // namespace truepull::bench

#endif  // TRUEPULL_TESTS_BENCH_ARGUMENTS_H_
