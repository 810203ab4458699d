// SPDX-License-Identifier: Apache-2.0
// Text made safe for HTML and SVG, and bytes made into text for them.
#ifndef TRUEPULL_SRC_GEOMETRY_MARKUP_TEXT_H_
#define TRUEPULL_SRC_GEOMETRY_MARKUP_TEXT_H_

#include <string>
#include <string_view>

namespace truepull {

/// Escapes & < > " ' so that the text shows as it is, inside and outside of attributes.
std::string EscapeMarkup(std::string_view text);

/// Base 64 (RFC 4648), for data inside a page.
std::string Base64(std::string_view bytes);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GEOMETRY_MARKUP_TEXT_H_
