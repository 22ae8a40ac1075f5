// SPDX-License-Identifier: MIT
#pragma once
/// Integrals by adaptive quadrature, for what has no closed form.

#include "gastube/support/math.hpp"

#include <array>
#include <cstddef>

namespace gastube::exact {

/// Gauss's rule of 7 points within Kronrod's of 15 (R. Piessens et al., QUADPACK, 1983, from memory; the test measures
/// the order of both).
template <class P>
struct KronrodRule {
  static constexpr std::array<P, 8> point{
      P(0.991455371120812639206854697526329L), P(0.949107912342758524526189684047851L),
      P(0.864864423359769072789712788640926L), P(0.741531185599394439863864773280788L),
      P(0.586087235467691130294144691693013L), P(0.405845151377397166906606412076961L),
      P(0.207784955007898467600689403773245L), P(0)};
  static constexpr std::array<P, 8> weight{
      P(0.022935322010529224963732008058970L), P(0.063092092629978553290700663189204L),
      P(0.104790010322250183839876322541518L), P(0.140653259715525918745189590510238L),
      P(0.169004726639267902826583426598550L), P(0.190350578064785409913256402421014L),
      P(0.204432940075298892414161999234649L), P(0.209482141084727828012999174891714L)};
  /// Of points 1, 3, 5, 7.
  static constexpr std::array<P, 4> gauss{
      P(0.129484966168869693270611432679082L), P(0.279705391489276667901467771423780L),
      P(0.381830050505118944950369775488975L), P(0.417959183673469387755102040816327L)};
};

/// Integral over one panel, with its size (that of |f|) and the difference between the two rules.
template <Real S>
struct Panel {
  S value = S(0);
  Plain<S> size = Plain<S>(0), doubt = Plain<S>(0);
};
template <Real S, class Function>
[[nodiscard]] Panel<S> over_panel(Function&& f, const S& from, const S& to) {
  using P = Plain<S>;
  using Rule = KronrodRule<P>;
  const S half = S(S(P(0.5)) * (to - from)), middle = S(from + half);
  Panel<S> sum;
  P gauss(0);
  for (std::size_t k = 0; k < 8; ++k)
    for (int side = k == 7 ? 1 : -1; side <= 1; side += 2) {
      const S value = f(S(middle + S(P(side) * Rule::point[k]) * half));
      sum.value += S(Rule::weight[k]) * value;
      sum.size += Rule::weight[k] * math::abs(value_of(value));
      if (k % 2 == 1) gauss += Rule::gauss[k / 2] * value_of(value);
    }
  const P width = math::abs(value_of(half));
  sum.doubt = math::abs(value_of(sum.value) - gauss) * width;
  sum.size *= width;
  sum.value *= half;
  return sum;
}

/// Integral of f from `from` to `to`, halved until the two rules agree to `tolerance` of the integral of |f|; kinks and
/// jumps are closed in on. Where f is rougher than that with round-off of its own, halves agree no better: it ends
/// there, and in any case after so many panels.
template <Real S, class Function>
[[nodiscard]] S integral(Function&& f, const S& from, const S& to, Plain<S> tolerance) {
  using P = Plain<S>;
  constexpr std::size_t deepest = 48, most_panels = 1000, tries = 4;
  constexpr P roughest = P(1e9) * round_off<P>;  // what round-off of f may come to, of its size
  struct End {
    S time;
    std::array<P, tries> doubts;  // of the panels that it was halved from, the latest first
  };
  std::array<End, deepest + 1> end;  // of panels still to do, the nearest last
  std::size_t waiting = 1;
  end[0].time = to;
  end[0].doubts.fill(unlimited<P>());
  S begin = from, sum(0);
  P size(0);
  for (std::size_t count = 0; waiting > 0; ++count) {
    auto& [upto, doubts] = end[waiting - 1];
    const Panel<S> panel = over_panel(f, begin, upto);
    const P whole = math::max(size, panel.size);
    // Of round-off half is left after each halving, of anything smooth or bent far less.
    bool rough = panel.doubt <= roughest * panel.size;
    for (std::size_t k = 0; k < tries; ++k) rough = rough && P(6 << k) * panel.doubt > doubts[k];
    if (panel.doubt <= tolerance * whole || rough || waiting > deepest || count >= most_panels) {
      sum += panel.value;
      size += panel.size;
      begin = upto;
      --waiting;
    } else {
      for (std::size_t k = tries - 1; k > 0; --k) doubts[k] = doubts[k - 1];
      doubts[0] = panel.doubt;
      end[waiting] = {S(begin + S(P(0.5)) * (upto - begin)), doubts};
      ++waiting;
    }
  }
  return sum;
}

}  // namespace gastube::exact
