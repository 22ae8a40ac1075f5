// SPDX-License-Identifier: MIT
#pragma once
/// A circuit as a value: parts and the number of nodes. It is a hybrid system that every stepper can run.
///
/// Unknowns: the voltages of nodes 1, 2, ... against ground, then the parts' own unknowns in the order of the parts.
/// Any entry may be one part, a std::array of parts, or a std::vector of parts; with a vector, or a node count given at
/// run time, sizes are dynamic, else everything has fixed size and nothing is allocated. Where sizes are dynamic the
/// equations are solved as sparse ones: thousands of parts take memory and time in proportion to their number.

#include "gastube/circuit/part.hpp"
#include "gastube/support/checked.hpp"

#include <string>
#include <tuple>

namespace gastube {

namespace detail {
/// How many parts an entry holds, and of which type.
template <class Entry>
struct EntryOf {
  using Part = Entry;
  static constexpr std::size_t extent = 1;
};
template <class P, std::size_t N>
struct EntryOf<std::array<P, N>> {
  using Part = P;
  static constexpr std::size_t extent = N;
};
template <class P>
struct EntryOf<std::vector<P>> {
  using Part = P;
  static constexpr std::size_t extent = dynamic_extent;
};

template <class Entry>
[[nodiscard]] std::size_t count(const Entry& entry) {
  if constexpr (requires { entry.size(); })
    return entry.size();
  else
    return 1;
}
template <class Entry>
[[nodiscard]] auto& part_at(Entry& entry, std::size_t i) {
  if constexpr (requires { entry.size(); })
    return entry[i];
  else
    return static_cast<void>(i), entry;
}
}  // namespace detail

/// @tparam Nodes number of nodes with ground, or dynamic_extent
template <std::size_t Nodes, class... Entries>
class Circuit {
  template <class Entry>
  using PartOf = typename detail::EntryOf<Entry>::Part;
  template <class Entry>
  using MemoryOf = typename detail::MemoryOf<PartOf<Entry>>::type;
  template <class Entry>
  static constexpr std::size_t entry_extent = detail::EntryOf<Entry>::extent;

 public:
  static_assert(sizeof...(Entries) > 0, "a circuit needs at least one part");
  static_assert((CircuitPart<PartOf<Entries>> && ...), "a part needs `Scalar`, `label` and `terminals() const`");
  using Scalar = typename PartOf<std::tuple_element_t<0, std::tuple<Entries...>>>::Scalar;
  using S = Scalar;
  static_assert((std::same_as<S, typename PartOf<Entries>::Scalar> && ...),
                "all parts of a circuit must have the same scalar");
  /// One storage of memories for each entry.
  using Mode = std::tuple<Storage<MemoryOf<Entries>, entry_extent<Entries>>...>;

  static constexpr std::size_t extent = [] {
    std::size_t sum = Nodes == dynamic_extent ? dynamic_extent : Nodes - 1;
    ((sum = extent_sum(sum, detail::own_unknowns_of<PartOf<Entries>> == 0
                                ? 0
                                : extent_product(detail::own_unknowns_of<PartOf<Entries>>, entry_extent<Entries>))),
     ...);
    return sum;
  }();
  static constexpr std::size_t follower_extent = [] {
    std::size_t sum = 0;
    ((sum = extent_sum(sum, detail::followers_of<PartOf<Entries>> == 0
                                ? 0
                                : extent_product(detail::followers_of<PartOf<Entries>>, entry_extent<Entries>))),
     ...);
    return sum;
  }();

  /// True if a part's followers may act on its currents, and not on guards alone.
  static constexpr bool followers_act = (detail::followers_act_of<PartOf<Entries>> || ...);

  /// @param nodes number of nodes with ground, at least 2
  /// @throws InvalidRequest for a node out of range, a node that joins no part, or a part across one node
  Circuit(std::size_t nodes, Entries... entries) : nodes_(nodes), entries_(std::move(entries)...) { check(); }

  // What the steppers ask; see stepping/system.hpp.
  [[nodiscard]] std::size_t unknowns() const {
    return nodes_ - 1 + sum([](const auto& entry, auto part) {
             return detail::count(entry) * detail::own_unknowns_of<typename decltype(part)::type>;
           });
  }
  [[nodiscard]] std::size_t followers() const {
    return sum([](const auto& entry, auto part) {
      return detail::count(entry) * detail::followers_of<typename decltype(part)::type>;
    });
  }
  [[nodiscard]] std::size_t guards() const {
    return sum([](const auto& entry, auto part) {
      return detail::count(entry) * detail::guards_of<typename decltype(part)::type>;
    });
  }
  [[nodiscard]] std::size_t ports() const {
    return sum([](const auto& entry, auto part) {
      return detail::has_port<typename decltype(part)::type> ? detail::count(entry) : std::size_t(0);
    });
  }
  [[nodiscard]] Plain<S> nominal(std::size_t k) const {
    if (k < nodes_ - 1) return Plain<S>(1);
    Plain<S> size(1);
    at_own(k, [&](const auto& part, std::size_t own) {
      if constexpr (requires { part.nominal(own); }) size = part.nominal(own);
    });
    return size;
  }
  void write(const Instant<S>& at, const Mode& mode, Equations<S>& equations) const {
    each_with(mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      PartEquations<S> view(at, place, equations);
      part.write(view, memory);
    });
  }
  void follow(const Instant<S>& at, const Mode& mode, FollowRate<S>* rates) const {
    each_with(mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      if constexpr (detail::followers_of < std::decay_t < decltype(part) >>> 0) {
        for (std::size_t k = 0; k < detail::followers_of<std::decay_t<decltype(part)>>; ++k)
          rates[place.follower + k] = FollowRate<S>{};
        part.follow(PartView<S>(at, place), memory, rates + place.follower);
      }
    });
  }
  [[nodiscard]] S guard(std::size_t k, const Instant<S>& at, const Mode& mode) const {
    S value(1);
    at_guard(k, mode, [&](const auto& part, std::size_t own_guard, const PartPlace& place, const auto& memory) {
      value = part.guard(own_guard, PartView<S>(at, place), memory);
    });
    return value;
  }
  [[nodiscard]] bool opens(std::size_t k, const Mode& mode) const {
    bool result = false;
    at_guard(k, mode, [&](const auto& part, std::size_t own_guard, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.opens(own_guard, memory); }) result = part.opens(own_guard, memory);
    });
    return result;
  }
  Change fire(std::size_t k, const Instant<S>& at, Mode& mode, S* followers_now) const {
    Change change;
    at_guard(k, mode, [&](const auto& part, std::size_t own_guard, const PartPlace& place, auto& memory) {
      change = part.fire(own_guard, PartView<S>(at, place), memory, followers_now + place.follower);
    });
    return change;
  }
  [[nodiscard]] S next_breakpoint(const S& time, const Mode& mode) const {
    S next = unlimited<S>();
    each_with(mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.next_breakpoint(time, memory); })
        next = math::min(next, part.next_breakpoint(time, memory));
    });
    return next;
  }
  void pass_breakpoint(const S& time, Mode& mode) const {
    each_with(mode, [&](const auto& part, const PartPlace&, auto& memory) {
      if constexpr (requires { part.pass_breakpoint(time, memory); }) part.pass_breakpoint(time, memory);
    });
  }
  /// s, so long that no part that moves by time alone goes there and back unseen.
  [[nodiscard]] S longest_step(const Mode& mode) const {
    S longest = unlimited<S>();
    each_with(mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.longest_step(memory); }) longest = math::min(longest, part.longest_step(memory));
    });
    return longest;
  }
  [[nodiscard]] Port port(std::size_t k, const Mode& mode) const {
    Port port;
    at_port(k, mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      const PartPort asked = part.port(memory);
      port = {row(asked.plus), row(asked.minus), place.own + asked.own, asked.wanted, asked.urgent};
    });
    return port;
  }
  void accept_port(std::size_t k, const PortReading<S>& reading, Mode& mode) const {
    at_port(k, mode, [&](const auto& part, const PartPlace&, auto& memory) { part.accept_port(reading, memory); });
  }
  [[nodiscard]] S steady_need(std::size_t k, const Mode& mode) const {
    S need = unlimited<S>();
    at_port(k, mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.steady_need(memory); }) need = part.steady_need(memory);
    });
    return need;
  }
  [[nodiscard]] bool slow(std::size_t k) const {
    bool slow = false;
    at_own(k, [&](const auto& part, std::size_t own) {
      if constexpr (requires { part.slow(own); }) slow = part.slow(own);
    });
    return slow;
  }

  // What the exact scheme asks; see stepping/linear.hpp.
  static constexpr bool piecewise_linear = (detail::is_piecewise_linear<PartOf<Entries>> && ...);
  static constexpr std::size_t pattern_extent = [] {
    std::size_t sum = 0;
    ((sum = extent_sum(sum, detail::has_pattern<PartOf<Entries>> ? entry_extent<Entries> : 0)), ...);
    return sum;
  }();
  [[nodiscard]] std::size_t pattern_size() const {
    return sum([](const auto& entry, auto part) {
      return detail::has_pattern<typename decltype(part)::type> ? detail::count(entry) : std::size_t(0);
    });
  }
  void pattern(const Mode& mode, unsigned char* numbers) const {
    each_with(mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      if constexpr (detail::has_pattern<std::decay_t<decltype(part)>>)
        *numbers++ = static_cast<unsigned char>(part.pattern(memory));
    });
  }
  template <class Take>
  void drives(const S& time, const Mode& mode, Take&& take) const {
    each_with(mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      if constexpr (requires { part.drive(time, memory); }) {
        Drive<S> drive = part.drive(time, memory);
        drive.row += place.own;
        take(drive);
      }
      if constexpr (requires { part.inject(time, memory, [](Node, const Drive<S>&) {}); })
        part.inject(time, memory, [&](Node node, Drive<S> drive) {
          drive.row = row(node);
          if (node != ground_node) take(drive);
        });
    });
  }
  /// False if the part does not write its guard out; a guard that is not asked about at present has no sums.
  [[nodiscard]] bool margin(std::size_t k, const Mode& mode, Margin<S>& margin) const {
    bool written = true;
    at_guard(k, mode, [&](const auto& part, std::size_t own_guard, const PartPlace& place, const auto& memory) {
      if constexpr (requires(PartMargin<S> m) { part.margin(own_guard, m, memory); }) {
        PartMargin<S> view(place, margin);
        if constexpr (requires { bool(part.margin(own_guard, view, memory)); })
          written = part.margin(own_guard, view, memory);
        else
          part.margin(own_guard, view, memory);
      } else
        written = false;
    });
    return written;
  }
  [[nodiscard]] bool follows_straight(std::size_t k) const {
    bool straight = true;
    each([&](const auto& part, const PartPlace& place) {
      using Part = std::decay_t<decltype(part)>;
      if constexpr (requires { part.follows_straight(k); })
        if (k >= place.follower && k < place.follower + detail::followers_of<Part>)
          straight = part.follows_straight(k - place.follower);
    });
    return straight;
  }

  // What builders ask.
  /// Memories at the start of a run.
  [[nodiscard]] Mode start_mode(const S& time = S(0)) const {
    return std::apply([&](const auto&... entry) { return Mode{memories(entry, time)...}; }, entries_);
  }
  /// Fills the unknowns at the start of a run: capacitors and own unknowns at their initial values. `x` holds zeros.
  /// @throws InvalidRequest if capacitors in a loop are given voltages that do not add up
  void start_unknowns(S* x) const {
    auto known = zeros<char, Nodes>(nodes_);
    known[0] = 1;
    Starter<S> starter(x, known.data());
    do {
      each([&](const auto& part, const PartPlace& place) {
        starter.place(place);
        if constexpr (requires { part.start(starter); }) part.start(starter);
        if (starter.contradiction())
          detail::raise(InvalidRequest(std::string(part.label)
                                       + ": initial voltage contradicts those of the capacitors in its loop"));
      });
    } while (starter.next_round());
  }

  [[nodiscard]] std::size_t nodes() const noexcept { return nodes_; }
  /// Number of parts.
  [[nodiscard]] std::size_t size() const {
    return sum([](const auto& entry, auto) { return detail::count(entry); });
  }
  /// Entry number I as it was given, to read or to change between steps.
  template <std::size_t I>
  [[nodiscard]] auto& entry() noexcept {
    return std::get<I>(entries_);
  }
  template <std::size_t I>
  [[nodiscard]] const auto& entry() const noexcept {
    return std::get<I>(entries_);
  }
  /// V of a node against ground.
  [[nodiscard]] S voltage(Node node, const Instant<S>& at) const { return PartView<S>(at, {}).voltage(node); }
  /// Calls f(part, view, memory) for every part; `view` sees this instant.
  template <class Function>
  void look(const Instant<S>& at, const Mode& mode, Function&& f) const {
    each_with(mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      f(part, PartView<S>(at, place), memory);
    });
  }
  /// Calls f(part) for every part in order.
  template <class Function>
  void visit(Function&& f) const {
    each([&](const auto& part, const PartPlace&) { f(part); });
  }
  /// The number of the first part with this label.
  /// @throws InvalidRequest naming the label if there is none
  [[nodiscard]] std::size_t find(const char* label) const {
    std::size_t index = 0, found = static_cast<std::size_t>(-1);
    each([&](const auto& part, const PartPlace&) {
      if (found == static_cast<std::size_t>(-1) && std::string(part.label) == label) found = index;
      ++index;
    });
    if (found == static_cast<std::size_t>(-1))
      detail::raise(InvalidRequest(std::string("no part is labelled '") + label + "'"));
    return found;
  }

 private:
  template <class T>
  struct Type {
    using type = T;
  };

  [[nodiscard]] static std::size_t row(Node node) {
    return node == ground_node ? Port::no_row : static_cast<std::size_t>(node - 1);
  }

  template <class Function>
  [[nodiscard]] std::size_t sum(Function&& f) const {
    return std::apply(
        [&](const auto&... entry) { return (f(entry, Type<PartOf<std::decay_t<decltype(entry)>>>{}) + ...); },
        entries_);
  }

  /// f(part, place) for every part in order.
  template <class Function>
  void each(Function&& f) const {
    PartPlace place{nodes_ - 1, 0};
    std::apply(
        [&](const auto&... entry) {
          const auto visit = [&](const auto& one) {
            using Part = PartOf<std::decay_t<decltype(one)>>;
            for (std::size_t i = 0; i < detail::count(one); ++i) {
              f(detail::part_at(one, i), place);
              place.own += detail::own_unknowns_of<Part>;
              place.follower += detail::followers_of<Part>;
            }
          };
          (visit(entry), ...);
        },
        entries_);
  }
  /// f(part, place, memory) for every part in order.
  template <class SomeMode, class Function>
  void each_with(SomeMode& mode, Function&& f) const {
    PartPlace place{nodes_ - 1, 0};
    each_entry([&](auto number) {
      constexpr std::size_t I = decltype(number)::value;
      const auto& entry = std::get<I>(entries_);
      using Part = PartOf<std::decay_t<decltype(entry)>>;
      auto& memories_here = std::get<I>(mode);
      for (std::size_t i = 0; i < detail::count(entry); ++i) {
        f(detail::part_at(entry, i), place, memories_here[i]);
        place.own += detail::own_unknowns_of<Part>;
        place.follower += detail::followers_of<Part>;
      }
    });
  }
  /// f(part, its guard number, place, memory) for the part that guard k belongs to.
  template <class SomeMode, class Function>
  void at_guard(std::size_t k, SomeMode& mode, Function&& f) const {
    at_share(
        k, mode, [](auto part) { return detail::guards_of<typename decltype(part)::type>; },
        [&](const auto& part, std::size_t rest, const PartPlace& place, auto& memory) {
          if constexpr (detail::guards_of < std::decay_t < decltype(part) >>> 0) f(part, rest, place, memory);
        });
  }
  template <class SomeMode, class Function>
  void at_port(std::size_t k, SomeMode& mode, Function&& f) const {
    at_share(
        k, mode, [](auto part) { return std::size_t(detail::has_port<typename decltype(part)::type> ? 1 : 0); },
        [&](const auto& part, std::size_t, const PartPlace& place, auto& memory) {
          if constexpr (detail::has_port<std::decay_t<decltype(part)>>) f(part, place, memory);
        });
  }
  /// f(part, its number of the unknown) for the part that unknown k belongs to, if it is not a node's.
  template <class Function>
  void at_own(std::size_t k, Function&& f) const {
    if (k < nodes_ - 1) return;
    k -= nodes_ - 1;
    bool found = false;
    std::apply(
        [&](const auto&... entry) {
          const auto visit = [&](const auto& one) {
            constexpr std::size_t each_has = detail::own_unknowns_of<PartOf<std::decay_t<decltype(one)>>>;
            const std::size_t here = each_has * detail::count(one);
            if constexpr (each_has > 0)
              if (!found && k < here) f(detail::part_at(one, k / each_has), k % each_has), found = true;
            k -= found ? 0 : here;
          };
          (visit(entry), ...);
        },
        entries_);
  }
  /// Finds the part that holds number k when every part of a type holds share(type) numbers.
  template <class SomeMode, class Share, class Function>
  void at_share(std::size_t k, SomeMode& mode, Share&& share, Function&& f) const {
    PartPlace place{nodes_ - 1, 0};
    bool found = false;
    each_entry([&](auto number) {
      constexpr std::size_t I = decltype(number)::value;
      const auto& entry = std::get<I>(entries_);
      using Part = PartOf<std::decay_t<decltype(entry)>>;
      const std::size_t each_has = share(Type<Part>{}), parts = detail::count(entry);
      if (!found && k < each_has * parts) {
        const std::size_t i = k / each_has;
        place.own += i * detail::own_unknowns_of<Part>;
        place.follower += i * detail::followers_of<Part>;
        f(detail::part_at(entry, i), k % each_has, place, std::get<I>(mode)[i]);
        found = true;
      }
      k -= found ? 0 : each_has * parts;
      place.own += parts * detail::own_unknowns_of<Part>;
      place.follower += parts * detail::followers_of<Part>;
    });
  }
  template <class Function>
  static void each_entry(Function&& f) {
    [&]<std::size_t... I>(std::index_sequence<I...>) { (f(std::integral_constant<std::size_t, I>{}), ...); }
    (std::make_index_sequence<sizeof...(Entries)>{});
  }

  template <class Entry>
  [[nodiscard]] static Storage<MemoryOf<Entry>, entry_extent<Entry>> memories(const Entry& entry, const S& time) {
    auto result = filled<MemoryOf<Entry>, entry_extent<Entry>>(detail::count(entry), MemoryOf<Entry>{});
    for (std::size_t i = 0; i < detail::count(entry); ++i) {
      const auto& part = detail::part_at(entry, i);
      if constexpr (requires { part.memory(time); }) result[i] = part.memory(time);
    }
    return result;
  }

  void check() const {
    if (nodes_ < 2 || (Nodes != dynamic_extent && nodes_ != Nodes))
      detail::raise(InvalidRequest("circuit: " + std::to_string(nodes_) + " nodes, allowed: at least 2"));
    auto touched = zeros<char, Nodes>(nodes_);
    each([&](const auto& part, const PartPlace&) {
      bool spans = false;
      const auto terminals = part.terminals();
      for (const Node node : terminals) {
        if (node < 0 || static_cast<std::size_t>(node) >= nodes_)
          detail::raise(InvalidRequest(std::string(part.label) + ": node = " + std::to_string(node) + ", allowed: 0 to "
                                       + std::to_string(nodes_ - 1)));
        touched[static_cast<std::size_t>(node)] = 1;
        spans = spans || node != terminals[0];
      }
      if (!spans)
        detail::raise(InvalidRequest(std::string(part.label) + ": both ends are at node " + std::to_string(terminals[0])
                                     + ", allowed: two different nodes"));
    });
    for (std::size_t node = 0; node < nodes_; ++node)
      if (touched[node] == 0)
        detail::raise(InvalidRequest("circuit: node " + std::to_string(node) + " joins no part"
                                     + (node == 0 ? ", and it is the ground that all voltages count from" : "")));
  }

  std::size_t nodes_;
  std::tuple<Entries...> entries_;
};

/// A circuit of fixed size: wire<node_count>(parts...).
template <std::size_t Nodes, class... Entries>
[[nodiscard]] Circuit<Nodes, Entries...> wire(Entries... entries) {
  return Circuit<Nodes, Entries...>(Nodes, std::move(entries)...);
}
/// A circuit whose size is known at run time: wire(nodes, parts...), entries may be std::vectors of parts.
template <class... Entries>
[[nodiscard]] Circuit<dynamic_extent, Entries...> wire_dynamic(std::size_t nodes, Entries... entries) {
  return Circuit<dynamic_extent, Entries...>(nodes, std::move(entries)...);
}

}  // namespace gastube
