// SPDX-License-Identifier: Apache-2.0
// The colours inside each pull, as part of reading.yaml.
#ifndef TRUEPULL_IO_COLOURS_TEXT_H_
#define TRUEPULL_IO_COLOURS_TEXT_H_

#include <string>
#include <vector>

#include "io/yaml_cursor.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// `regions` and `drawings`; nothing where there are none.
std::string ColoursText(const Reading& reading);

/// One for each site that is not missing, in order, or none at all.
std::vector<PullColours> ReadPullColours(const YamlCursor& at, const Plan& plan, const std::vector<SiteReading>& sites);
std::vector<PlateDrawing> ReadDrawings(const YamlCursor& at, const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_IO_COLOURS_TEXT_H_
