// SPDX-License-Identifier: Apache-2.0
// What the PDF writer cannot say itself: print scaling, language, boxes, no date.
#ifndef TRUEPULL_SRC_DRAW_PDF_FINISH_H_
#define TRUEPULL_SRC_DRAW_PDF_FINISH_H_

#include <string>

#include "truepull/result.h"

namespace truepull {

Result<std::string> FinishPdf(const std::string& bytes, const std::string& title);

}  // namespace truepull

#endif  // TRUEPULL_SRC_DRAW_PDF_FINISH_H_
