// SPDX-License-Identifier: Apache-2.0
// Which of the program's files a text is, told by what is in it, not by its name.
#ifndef TRUEPULL_CLI_FILE_KIND_H_
#define TRUEPULL_CLI_FILE_KIND_H_

#include <string_view>

namespace truepull {

enum class FileKind { kPlan, kReading, kCorrections, kSiteTable, kOtherTable, kTile, kEdition, kGuide, kPrinter, kUnknown };

/// Looks at the header of a table or at the keys that begin a line. A text that is no
/// file of ours, or too broken to tell, is kUnknown.
FileKind RecogniseFile(std::string_view text);

}  // namespace truepull

#endif  // TRUEPULL_CLI_FILE_KIND_H_
