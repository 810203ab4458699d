// SPDX-License-Identifier: Apache-2.0
// An edge as a camera blurs it: the normal distribution and its density.
#ifndef TRUEPULL_SRC_DETECT_BLURRED_STEP_H_
#define TRUEPULL_SRC_DETECT_BLURRED_STEP_H_

namespace truepull::detect {

/// The normal distribution function, from a table: to 0.0007, a tenth of a grey level.
double BlurredStep(double x);
/// Its density.
double BlurredLine(double x);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_BLURRED_STEP_H_
