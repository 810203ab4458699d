// SPDX-License-Identifier: Apache-2.0
#include "support/places.h"

namespace truepull::testing {

std::string SourceFolder() { return TRUEPULL_SOURCE_DIR; }

std::string ProgramFile() { return TRUEPULL_PROGRAM; }

}  // namespace truepull::testing
