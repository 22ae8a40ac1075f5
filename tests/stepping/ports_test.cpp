// SPDX-License-Identifier: MIT
// Ports measured all at once, by updates of one factorisation, show what each shows alone.
#include <gastube/stepping/stages.hpp>

#include "support_for_tests/closeness.hpp"
#include "support_for_tests/quiet_system.hpp"

#include <doctest/doctest.h>

using namespace gastube;
using closeness::absolute_gap;
using closeness::relative_gap;

namespace {

struct Readings {
  bool joined = true;
  std::array<PortReading<double>, 2> ports = {};
};

/// Two nodes, each with a part that leaks, and a temperature. The first node is fed, the second only through the first
/// if they are joined, and otherwise by nothing but the leak of its own part.
template <bool Dynamic>
struct TwoPorts : QuietSystem<double, 5, 0, Readings, Dynamic> {
  enum { first, second, first_current, second_current, temperature };
  double supply = 100, feed = 1e3, join = 5e3, farads = 1e-6, leak_1 = 2e-4, leak_2 = 1e-9;

  void write(const Instant<double>& at, const Readings& mode, Equations<double>& eq) const {
    const double* x = at.x;
    const double joined = mode.joined ? 1 / join : 0;
    eq.store(first, first, farads);
    eq.flow(first,
            (x[first] - supply) / feed + x[first_current] + joined * (x[first] - x[second]) + 1e-3 * x[temperature]);
    eq.flow_slope(first, first, 1 / feed + joined);
    eq.flow_slope(first, second, -joined);
    eq.flow_slope(first, first_current, 1);
    eq.flow_slope(first, temperature, 1e-3);
    eq.flow(second, x[second_current] + joined * (x[second] - x[first]));
    eq.flow_slope(second, second_current, 1);
    eq.flow_slope(second, second, joined);
    eq.flow_slope(second, first, -joined);
    eq.flow(first_current, x[first_current] - leak_1 * x[first]);
    eq.flow_slope(first_current, first_current, 1);
    eq.flow_slope(first_current, first, -leak_1);
    eq.flow(second_current, x[second_current] - leak_2 * (x[second] - 5));
    eq.flow_slope(second_current, second_current, 1);
    eq.flow_slope(second_current, second, -leak_2);
    eq.store(temperature, temperature, 1.0);
    eq.flow(temperature, x[temperature] - 0.1 * x[first]);
    eq.flow_slope(temperature, temperature, 1);
    eq.flow_slope(temperature, first, -0.1);
  }
  [[nodiscard]] std::size_t ports() const { return 2; }
  [[nodiscard]] Port port(std::size_t k, const Readings&) const {
    return k == 0 ? Port{first, Port::no_row, first_current, true, false}
                  : Port{second, first, second_current, true, true};
  }
  void accept_port(std::size_t k, const PortReading<double>& reading, Readings& mode) const { mode.ports[k] = reading; }
  [[nodiscard]] bool slow(std::size_t k) const { return k == temperature; }
};

template <class System>
Position<System> somewhere(const System& system) {
  return start_at(system, 60.0, 55.0, 0.012, 50e-9, 4.0);
}

}  // namespace

TEST_CASE("ports measured together show what each shows alone") {
  for (const bool joined : {true, false}) {
    CAPTURE(joined);
    const TwoPorts<false> fixed;
    const TwoPorts<true> dynamic;
    Stages<TwoPorts<false>, TrBdf2> one_by_one(fixed);
    Stages<TwoPorts<true>, TrBdf2> together(dynamic);
    Readings mode{joined};
    together.measure_all(dynamic, mode, somewhere(dynamic), {}, [](const Port&) { return true; });
    for (std::size_t k = 0; k < 2; ++k) {
      CAPTURE(k);
      const PortReading<double> alone = one_by_one.measure(fixed, mode, somewhere(fixed), fixed.port(k, mode), {});
      const PortReading<double>& got = mode.ports[k];
      CHECK(relative_gap(got.resistance, alone.resistance) < 1e-9);
      CHECK(relative_gap(got.steady_resistance, alone.steady_resistance) < 1e-9);
      if (is_limited(alone.steady_resistance)) CHECK(absolute_gap(got.steady_voltage, alone.steady_voltage) < 1e-7);
    }
    // The first node, with its own part drawing nothing and the temperature held: closed form.
    if (!joined) CHECK(relative_gap(mode.ports[0].steady_voltage, 100 - 1e3 * 4e-3) < 1e-9);
    if (!joined) CHECK(relative_gap(mode.ports[0].steady_resistance, 1e3) < 1e-6);
    CHECK(is_limited(mode.ports[1].resistance) == joined);  // else nothing is left that holds it
  }
}

TEST_CASE("only the ports that are wanted are measured") {
  const TwoPorts<true> system;
  Stages<TwoPorts<true>, TrBdf2> stages(system);
  Readings mode;
  stages.measure_all(system, mode, somewhere(system), {}, [](const Port& port) { return port.urgent; });
  CHECK(mode.ports[0].resistance == 0.0);
  CHECK_FALSE(is_limited(mode.ports[0].steady_voltage));
  CHECK(mode.ports[1].resistance > 0.0);
}
