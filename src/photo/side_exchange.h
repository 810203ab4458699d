// SPDX-License-Identifier: Apache-2.0
// New candidates for the sheet from the sides of others.
//
// On a checked cloth or a boarded table three of a candidate's sides are often the sheet's
// own and the fourth a line of the table, and which one differs from candidate to
// candidate. Exchanging sides that run alike brings the sheet's four together.
#ifndef TRUEPULL_PHOTO_SIDE_EXCHANGE_H_
#define TRUEPULL_PHOTO_SIDE_EXCHANGE_H_

#include <vector>

#include "photo/side_search.h"

namespace truepull {

/// At most `most` quadrilaterals, the likeliest first.
std::vector<Quad> QuadsByExchange(const std::vector<SeenSheet>& seen, std::size_t most);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_EXCHANGE_H_
