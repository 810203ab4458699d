// SPDX-License-Identifier: Apache-2.0
// Conway's criterion for a polygon with real coordinates.
//
// The splits of A B C A' D E may lie anywhere on an edge, but if there is a way at all then
// there is one in which every split is a corner or the image of one: each half-turned
// stretch ties its two ends together (their sum is fixed), each pair A, A' likewise, so a
// chain of tied splits can slide until one of them meets a corner. The search therefore
// works on the corners and their images (`stops`), with one bit for each pair of stops
// between which the outline looks alike after a half turn, and one for each pair that two
// such stretches span.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "tiling/repeats.h"

namespace truepull::tiling {
namespace {

class Bits {
 public:
  Bits(std::size_t rows, std::size_t columns)
      : words_((columns + 63) / 64), columns_(columns), bits_(rows * words_, 0) {}
  void Set(std::size_t r, std::size_t c) { bits_[r * words_ + c / 64] |= 1ULL << (c % 64); }
  bool Has(std::size_t r, std::size_t c) const {
    return (bits_[r * words_ + c / 64] >> (c % 64)) & 1;
  }
  /// Row r |= (row q of other) moved up by `shift` columns; what leaves the row is lost.
  void OrMoved(std::size_t r, const Bits& other, std::size_t q, std::size_t shift) {
    const std::size_t by = shift / 64, low = shift % 64;
    std::uint64_t* to = &bits_[r * words_];
    const std::uint64_t* from = &other.bits_[q * words_];
    for (std::size_t w = words_; w-- > by;) {
      std::uint64_t word = from[w - by] << low;
      if (low && w > by) word |= from[w - by - 1] >> (64 - low);
      to[w] |= word;
    }
    if (columns_ % 64) to[words_ - 1] &= (1ULL << (columns_ % 64)) - 1;
  }
  template <typename F>
  void ForEach(std::size_t r, F f) const {
    for (std::size_t w = 0; w < words_; ++w) {
      for (std::uint64_t word = bits_[r * words_ + w]; word; word &= word - 1) {
        f(w * 64 + static_cast<std::size_t>(__builtin_ctzll(word)));
      }
    }
  }

 private:
  std::size_t words_, columns_;
  std::vector<std::uint64_t> bits_;
};

class Search {
 public:
  Search(const Boundary& b, double area) : b_(b), area_(area), tolerance_(b.place_tolerance()) {
    const std::size_t n = b.size();
    for (std::size_t e = 0; e < n; ++e) {
      reach_.push_back(b.Agree(b.MiddleOf(e), 1, b.MiddleOf(e), -1, -1, b.length() / 2));
    }
    GatherStops();
  }

  std::optional<Repeat> Run() {
    const std::size_t n = stops_.size();
    Bits one(n, n + 1), two(n, n + 1);
    FillOne(one);
    for (std::size_t i = 0; i < n; ++i) {
      one.ForEach(i, [&](std::size_t d) { two.OrMoved(i, one, (i + d) % n, d); });
    }
    one_ = &one;
    two_ = &two;
    WithoutPair();
    WithPair();
    return best_;
  }

 private:
  // Index of the stop at a place, or size() if there is none.
  std::size_t StopAt(double place) const {
    const double s = b_.Wrap(place);
    auto it = std::lower_bound(stops_.begin(), stops_.end(), s - tolerance_);
    if (it != stops_.end() && *it <= s + tolerance_) {
      return static_cast<std::size_t>(it - stops_.begin());
    }
    if (s + tolerance_ >= b_.length() && stops_.front() <= s + tolerance_ - b_.length()) return 0;
    if (s <= tolerance_ && stops_.back() >= b_.length() + s - tolerance_) return stops_.size() - 1;
    return stops_.size();
  }

  void GatherStops() {
    const std::size_t n = b_.size();
    for (std::size_t i = 0; i < n; ++i) stops_.push_back(b_.CornerPlace(i));
    std::vector<double> fresh = stops_;
    // Of finely drawn curves every stop has images by chance, of stretches that part slowly.
    // The longest stretches are the outline's own; past the bound the rest is left out, so
    // that time and memory grow no faster than the square of the points.
    const std::size_t most = 3 * n + 128;
    for (int round = 0; round < 3 && !fresh.empty() && stops_.size() < most; ++round) {
      std::vector<Image> images;
      for (const double s : fresh) {
        for (std::size_t e = 0; e < n; ++e) {
          double away = b_.Wrap(s - b_.MiddleOf(e));
          if (away > b_.length() / 2) away -= b_.length();
          if (std::abs(away) <= reach_[e] + tolerance_) images.push_back({b_.MiddleOf(e) - away, reach_[e]});
        }
      }
      if (round == 0) {
        for (std::size_t e = 0; e < n; ++e) {
          images.push_back({b_.MiddleOf(e) + reach_[e], reach_[e]});
          images.push_back({b_.MiddleOf(e) - reach_[e], reach_[e]});
        }
      }
      if (round < 2) {
        const std::vector<Way> onward = Ways(fresh, 1), back = Ways(fresh, -1);
        const std::vector<Way> all_onward = Ways(stops_, 1), all_back = Ways(stops_, -1);
        for (std::size_t i = 0; i < fresh.size(); ++i) {
          for (std::size_t k = 0; k < stops_.size(); ++k) {
            PairImages(onward[i], all_back[k], images);
            PairImages(all_onward[k], back[i], images);
          }
        }
      }
      fresh = NewPlaces(std::move(images), most - stops_.size());
      stops_.insert(stops_.end(), fresh.begin(), fresh.end());
      std::sort(stops_.begin(), stops_.end());
      // The ring's seam can leave two names for one place.
      if (stops_.size() > 1 && stops_.back() - stops_.front() >= b_.length() - tolerance_) {
        stops_.pop_back();
      }
    }
  }

  // Where a stop is carried by a stretch, and how long that stretch runs.
  struct Image {
    double place;
    double run;
  };

  // The places of images that are no stops yet, each once; of more than `most` those of the
  // longest runs. In order.
  std::vector<double> NewPlaces(std::vector<Image> images, std::size_t most) const {
    for (Image& image : images) image.place = b_.Wrap(image.place);
    std::sort(images.begin(), images.end(), [](const Image& x, const Image& y) { return x.place < y.place; });
    std::vector<Image> fresh;
    for (const Image& image : images) {
      if (!fresh.empty() && std::abs(fresh.back().place - image.place) <= tolerance_) {
        fresh.back().run = std::max(fresh.back().run, image.run);
      } else if (StopAt(image.place) == stops_.size()) {
        fresh.push_back(image);
      }
    }
    if (fresh.size() > most) {
      std::stable_sort(fresh.begin(), fresh.end(), [](const Image& x, const Image& y) { return x.run > y.run; });
      fresh.resize(most);
    }
    std::vector<double> places;
    for (const Image& image : fresh) places.push_back(image.place);
    std::sort(places.begin(), places.end());
    return places;
  }

  // The edge on which a walk leaves a stop, and what is left of it.
  struct Way {
    double place;
    Point direction;
    double left;
  };
  std::vector<Way> Ways(const std::vector<double>& places, int way) const {
    std::vector<Way> ways;
    for (const double s : places) {
      const std::size_t e = b_.EdgeFrom(s, way);
      const double left = way > 0 ? b_.CornerPlace(e + 1) - s : s - b_.CornerPlace(e);
      // Past the seam of the ring `left` is off by the length; an edge's own length will do.
      const bool plain = left > 0 && left <= b_.EdgeLength(e);
      ways.push_back({s, b_.Direction(e), plain ? left : b_.EdgeLength(e)});
    }
    return ways;
  }
  // Whether a walk onward from one and backward from the other part at once. Most do, and
  // this settles it without a walk.
  bool PartAtOnce(const Way& onward, const Way& back) const {
    const Point differ = onward.direction + back.direction;
    const double step = std::min(onward.left, back.left);
    return Dot(differ, differ) * step * step > 4 * b_.exact() * b_.exact();
  }

  // Whether the walk is the rest of one between the corners before: that ends where this does,
  // and of equal teeth all would otherwise be walked from each.
  bool BeginsEarlier(double s, double t) const {
    const std::size_t before = b_.EdgeFrom(s, -1), after = b_.EdgeFrom(t, 1);
    if (std::abs(b_.Wrap(s - b_.CornerPlace(before)) - b_.EdgeLength(before)) > 1e-9 * b_.length()) return false;
    if (std::abs(b_.Wrap(b_.CornerPlace(after + 1) - t) - b_.EdgeLength(after)) > 1e-9 * b_.length()) return false;
    const Point differ = b_.EdgeLength(before) * b_.Direction(before) + b_.EdgeLength(after) * b_.Direction(after);
    return Dot(differ, differ) < 1e-4 * b_.exact() * b_.exact();
  }

  // A onward from one agrees with A' backward from the other: where that ends, on both.
  void PairImages(const Way& s, const Way& t, std::vector<Image>& images) const {
    if (PartAtOnce(s, t) || BeginsEarlier(s.place, t.place)) return;
    const double run = b_.Agree(s.place, 1, t.place, -1, 1, b_.length() / 2);
    if (run <= tolerance_) return;
    images.push_back({s.place + run, run});
    images.push_back({t.place - run, run});
  }

  void FillOne(Bits& one) const {
    const std::size_t n = stops_.size();
    const auto span = [&](std::size_t i, std::size_t j) { return (j + n - i) % n; };
    for (std::size_t i = 0; i < n; ++i) one.Set(i, 0);
    for (std::size_t e = 0; e < b_.size(); ++e) {
      const double middle = b_.MiddleOf(e);
      for (std::size_t i = 0; i < n; ++i) {
        const double back = b_.Wrap(middle - stops_[i]);
        if (back > reach_[e] + tolerance_ || back <= tolerance_) continue;
        const std::size_t j = StopAt(middle + back);
        if (j == n) continue;
        one.Set(i, j == i ? n : span(i, j));
      }
    }
    // Any part of a straight edge looks alike after a half turn.
    for (std::size_t i = 0; i < n; ++i) {
      const std::size_t e = b_.EdgeFrom(stops_[i], 1);
      double left = b_.Wrap(b_.CornerPlace(e + 1) - stops_[i]);
      left = std::min(left, b_.EdgeLength(e));
      for (std::size_t d = 1; d < n; ++d) {
        if (b_.Wrap(stops_[(i + d) % n] - stops_[i]) > left + tolerance_) break;
        one.Set(i, d);
      }
    }
  }

  // Where the first of the two half-turned stretches from i over `span` stops ends.
  std::size_t SplitOf(std::size_t i, std::size_t span) const {
    const std::size_t n = stops_.size();
    for (std::size_t d = 0; d <= span; ++d) {
      if (one_->Has(i, d) && one_->Has((i + d) % n, span - d)) return d;
    }
    return 0;
  }

  void WithoutPair() {
    const std::size_t n = stops_.size();
    for (std::size_t i = 0; i < n && offers_ < kMostOffers; ++i) {
      two_->ForEach(i, [&](std::size_t d) {
        if (d == 0 || d == n || offers_ >= kMostOffers) return;
        if (two_->Has((i + d) % n, n - d)) Offer(i, 0, d, 0, n - d);
      });
    }
  }

  void WithPair() {
    const std::size_t n = stops_.size();
    const std::vector<Way> onward = Ways(stops_, 1), backward = Ways(stops_, -1);
    // By what is left of the ring: few stretches are two half-turned ones, and to ask it of
    // every pair of stops would walk through the whole table out of order.
    for (std::size_t l = 0; l < n && offers_ < kMostOffers; ++l) {
      two_->ForEach(l, [&](std::size_t de) {
        if (de == 0 || de + 2 > n || offers_ >= kMostOffers) return;
        const std::size_t i = (l + de) % n, to = n - de;  // A' ends at stop i + to.
        if (PartAtOnce(onward[i], backward[l])) return;
        const double run = b_.Agree(stops_[i], 1, stops_[l], -1, 1, b_.length() / 2);
        for (std::size_t a = 1; a < to; ++a) {
          const double along = b_.Wrap(stops_[(i + a) % n] - stops_[i]);
          if (along > run + tolerance_) break;
          const std::size_t k = StopAt(stops_[l] - along);
          if (k == n) continue;
          const std::size_t back = (l + n - k) % n;
          if (a + back > to) break;
          if (two_->Has((i + a) % n, to - a - back)) Offer(i, a, to - a - back, back, de);
        }
      });
    }
  }

  // A over `a` stops from i, B and C over `bc`, A' over `back`, D and E over `de`.
  void Offer(std::size_t i, std::size_t a, std::size_t bc, std::size_t back, std::size_t de) {
    ++offers_;
    const std::size_t n = stops_.size();
    Repeat repeat;
    std::vector<Point> centres;
    std::vector<Point> first_pair, second_pair;
    const auto turned = [&](std::size_t from, std::size_t span, std::vector<Point>& into) {
      const std::size_t split = SplitOf(from % n, span);
      for (const auto& [start, length] :
           {std::pair(from, split), std::pair(from + split, span - split)}) {
        if (length == 0) continue;
        const double s = stops_[start % n];
        const double e = s + (length == n ? b_.length() : b_.Wrap(stops_[(start + length) % n] - s));
        Meeting m;
        m.from_mm = m.partner_from_mm = b_.GivenPlace(s);
        m.to_mm = m.partner_to_mm = b_.GivenPlace(e);
        m.move = EdgeMove::kHalfTurn;
        m.centre = 0.5 * (b_.At(s) + b_.At(e));
        into.push_back(m.centre);
        centres.push_back(m.centre);
        repeat.meetings.push_back(m);
      }
    };
    Point shift;
    if (a > 0) {
      const std::size_t l = i + a + bc + back;
      repeat.meetings.push_back(ShiftMeeting(b_, stops_[i], stops_[(i + a) % n],
                                             stops_[(l - back) % n], stops_[l % n]));
      shift = repeat.meetings[0].shift;
    }
    turned(i + a, bc, first_pair);
    turned(i + a + bc + back, de, second_pair);
    // Two half turns one after the other are a shift by twice the way between their centres.
    Point u = shift, v;
    if (a > 0) {
      if (first_pair.empty() || second_pair.empty()) return;
      v = 2.0 * (second_pair[0] - first_pair[0]);
    } else {
      if (centres.size() < 3) return;
      u = 2.0 * (centres[1] - centres[0]);
      v = 2.0 * (centres[2] - centres[1]);
    }
    repeat.steps = OrientSteps(ReduceSteps({u, v}));
    const double cell = std::abs(Cross(repeat.steps.across, repeat.steps.down));
    if (std::abs(cell - 2 * area_) > 2 * b_.exact() * b_.length()) return;
    const double size = StepsSize(repeat.steps);
    if (best_ && size >= best_size_ * (1 - 1e-9)) return;
    best_size_ = size;
    const Point middle = Centroid(b_.corners());
    Point nearest = centres[0];
    for (const Point& c : centres) {
      if (Norm(c - middle) < Norm(nearest - middle) - b_.exact()) nearest = c;
    }
    repeat.cell = {Pose{}, Pose{2.0 * nearest, std::numbers::pi}};
    best_ = repeat;
  }

  static constexpr int kMostOffers = 400;  // Enough to find the most compact in practice.

  const Boundary& b_;
  double area_;
  double tolerance_;
  std::vector<double> reach_;  // Of the half turn about each edge's middle.
  std::vector<double> stops_;
  const Bits* one_ = nullptr;
  const Bits* two_ = nullptr;
  int offers_ = 0;
  std::optional<Repeat> best_;
  double best_size_ = 0;
};

}  // namespace

std::optional<Repeat> FindHalfTurnRepeat(const Boundary& b, double area_mm2) {
  return Search(b, area_mm2).Run();
}

}  // namespace truepull::tiling
