// SPDX-License-Identifier: Apache-2.0
// Text made safe for HTML, and bytes made into text for it.
#ifndef TRUEPULL_PAGES_HTML_TEXT_H_
#define TRUEPULL_PAGES_HTML_TEXT_H_

#include <string>
#include <string_view>

namespace truepull {

/// Escapes & < > " ' so that the text shows as it is, inside and outside of attributes.
std::string EscapeHtml(std::string_view text);

/// Base 64 (RFC 4648), for data inside the page.
std::string Base64(std::string_view bytes);

/// The text with its first letter large.
std::string Capitalised(std::string text);

}  // namespace truepull

#endif  // TRUEPULL_PAGES_HTML_TEXT_H_
