// SPDX-License-Identifier: Apache-2.0
// Text for HTML pages.
#ifndef TRUEPULL_PAGES_HTML_TEXT_H_
#define TRUEPULL_PAGES_HTML_TEXT_H_

#include <string>
#include <string_view>

#include "geometry/markup_text.h"

namespace truepull {

/// EscapeMarkup, under the name that pages know it by.
inline std::string EscapeHtml(std::string_view text) { return EscapeMarkup(text); }

/// The text with its first letter large.
std::string Capitalised(std::string text);

}  // namespace truepull

#endif  // TRUEPULL_PAGES_HTML_TEXT_H_
