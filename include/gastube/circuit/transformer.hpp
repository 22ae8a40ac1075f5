// SPDX-License-Identifier: MIT
#pragma once
/// Transformers: coupled windings, described as one measures them.

#include "gastube/circuit/coupled_inductors.hpp"

namespace gastube {

/// What a transformer shows at its terminals. Leakage 0 is a coupling of exactly 1.
template <Real S>
struct TransformerData {
  S magnetising_inductance;       ///< H, seen from the primary with the others open, less half the leakage; above 0
  S leakage_inductance = S(0);    ///< H, seen from the primary with one secondary shorted (no core loss); at least 0
  S primary_resistance = S(0);    ///< ohm, at least 0
  S secondary_resistance = S(0);  ///< ohm of each secondary winding, at least 0
};
/// A secondary winding: its nodes, dotted end first, and its turns over those of the primary.
template <Real S>
struct Secondary {
  Node a, b;
  S ratio;  ///< above 0; swap the nodes to turn its sense round
};

namespace detail {
/// Share of each winding's own inductance that is magnetising. With half the leakage l/2 in the primary and as much,
/// referred to it, in the secondary, what the primary shows with the secondary shorted is l to first order in l / L;
/// exactly, l L is to be shared so that  l/2 + L l/2 / (L + l/2)  comes out as the leakage asked for.
template <Real S>
[[nodiscard]] S half_leakage(const TransformerData<S>& data) {
  // x + L x / (L + x) = l  =>  x^2 + (2 L - l) x - l L = 0
  const S big = data.magnetising_inductance, l = data.leakage_inductance, half = S(big - S(0.5) * l);
  if (!(value_of(l) > Plain<S>(0))) return S(0);
  return S(l * big / (half + math::sqrt(S(half * half + l * big))));
}
template <Real S>
void check(const TransformerData<S>& data) {
  Check{"transformer"}
      .above("magnetising_inductance", data.magnetising_inductance, 0.0, "H")
      .at_least("leakage_inductance", data.leakage_inductance, 0.0, "H")
      .at_least("primary_resistance", data.primary_resistance, 0.0, "ohm")
      .at_least("secondary_resistance", data.secondary_resistance, 0.0, "ohm");
}
template <Real S>
[[nodiscard]] Winding<S> secondary_winding(const Secondary<S>& s, const TransformerData<S>& data, const S& own) {
  Check{"transformer"}.above("ratio", s.ratio, 0.0, "");
  return {s.a, s.b, S(s.ratio * s.ratio * own), data.secondary_resistance};
}
}  // namespace detail

/// Transformer with one secondary; primary from node a (dotted) to node b.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] CoupledInductors<S, 2> transformer(Node a, Node b, const Secondary<S>& secondary,
                                                 const TransformerData<S>& data) {
  detail::check(data);
  const S own = S(data.magnetising_inductance + detail::half_leakage(data));
  const S coupling = S(data.magnetising_inductance / own);
  return named("transformer", CoupledInductors<S, 2>{{Winding<S>{a, b, own, data.primary_resistance},
                                                      detail::secondary_winding(secondary, data, own)},
                                                     {coupling}});
}
/// Transformer with two secondaries, each coupled to the other as to the primary.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] CoupledInductors<S, 3> transformer(Node a, Node b, const Secondary<S>& first, const Secondary<S>& second,
                                                 const TransformerData<S>& data) {
  detail::check(data);
  const S own = S(data.magnetising_inductance + detail::half_leakage(data));
  const S k = S(data.magnetising_inductance / own);
  return named("transformer", CoupledInductors<S, 3>{{Winding<S>{a, b, own, data.primary_resistance},
                                                      detail::secondary_winding(first, data, own),
                                                      detail::secondary_winding(second, data, own)},
                                                     {k, k, k}});
}
/// A tapped secondary, from top (dotted) over the tap to the bottom.
template <Real S>
struct TappedSecondary {
  Node top, tap, bottom;
  S ratio;           ///< turns of the whole winding over those of the primary, above 0
  S share = S(0.5);  ///< turns from top to tap as a share of the whole, above 0, below 1: 0.5 is a centre tap
};
/// Transformer with a tapped secondary.
/// @throws InvalidParameter
template <Real S>
[[nodiscard]] CoupledInductors<S, 3> transformer(Node a, Node b, const TappedSecondary<S>& secondary,
                                                 const TransformerData<S>& data) {
  const S share = secondary.share;
  Check{"transformer"}
      .above("share", share, 0.0, "")
      .that(value_of(share) < Plain<S>(1), "share", share, "", "below 1");
  return transformer(a, b, Secondary<S>{secondary.top, secondary.tap, S(share * secondary.ratio)},
                     Secondary<S>{secondary.tap, secondary.bottom, S((S(1) - share) * secondary.ratio)}, data);
}

}  // namespace gastube
