// SPDX-License-Identifier: Apache-2.0
#include "truepull/edition.h"

namespace truepull {

const char* NameOf(Decision decision) {
  switch (decision) {
    case Decision::kEdition: return "edition";
    case Decision::kArtistsProof: return "artist's proof";
    case Decision::kReject: return "reject";
    default: return "open";
  }
}

const char* NameOf(Cause cause) {
  switch (cause) {
    case Cause::kHand: return "hand";
    case Cause::kStop: return "hand or stop";
    case Cause::kPlate: return "plate";
    case Cause::kBlock: return "block";
    case Cause::kPaper: return "paper";
    case Cause::kCreep: return "creep";
    case Cause::kPaperOrCreep: return "paper or creep";
    case Cause::kPhoto: return "photo";
    default: return "none";
  }
}

}  // namespace truepull
