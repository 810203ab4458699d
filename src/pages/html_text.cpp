// SPDX-License-Identifier: Apache-2.0
#include "pages/html_text.h"

namespace truepull {

std::string Capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

}  // namespace truepull
