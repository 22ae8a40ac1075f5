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

#include <cstring>
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

/// How many numbers of one kind each part of a type holds; for the last ones whether it takes part at all. Entries
/// whose parts hold none are left out of what is asked of them, which keeps compilation short.
struct OwnUnknowns {
  template <class Part>
  static constexpr std::size_t of = own_unknowns_of<Part>;
};
struct Followers {
  template <class Part>
  static constexpr std::size_t of = followers_of<Part>;
};
struct Guards {
  template <class Part>
  static constexpr std::size_t of = guards_of<Part>;
};
struct Ports {
  template <class Part>
  static constexpr std::size_t of = has_port<Part> ? 1 : 0;
};
struct Patterns {
  template <class Part>
  static constexpr std::size_t of = has_pattern<Part> ? 1 : 0;
};
struct Everyone {
  template <class Part>
  static constexpr std::size_t of = 1;
};
struct Scheduled {
  template <class Part>
  static constexpr std::size_t of = requires(const Part part, const typename Part::Scalar time,
                                             const typename MemoryOf<Part>::type memory) {
    part.next_breakpoint(time, memory);
  };
};
struct PassingBreakpoints {
  template <class Part>
  static constexpr std::size_t of = requires(const Part part, const typename Part::Scalar time,
                                             typename MemoryOf<Part>::type memory) {
    part.pass_breakpoint(time, memory);
  };
};
struct StepLimiting {
  template <class Part>
  static constexpr std::size_t of = requires(const Part part, const typename MemoryOf<Part>::type memory) {
    part.longest_step(memory);
  };
};
/// Stands for what takes a part's injections.
template <Real S>
struct TakesInjection {
  void operator()(Node, const Drive<S>&) const {}
};
template <class Part>
inline constexpr bool drives_own_row = requires(const Part part, const typename Part::Scalar time,
                                                const typename MemoryOf<Part>::type memory) {
  part.drive(time, memory);
};
template <class Part>
inline constexpr bool injects = requires(const Part part, const typename Part::Scalar time,
                                         const typename MemoryOf<Part>::type memory) {
  part.inject(time, memory, TakesInjection<typename Part::Scalar>{});
};
struct Driving {
  template <class Part>
  static constexpr std::size_t of = drives_own_row<Part> || injects<Part>;
};
struct SayingStraight {
  template <class Part>
  static constexpr std::size_t of = requires(const Part part) {
    part.follows_straight(std::size_t(0));
  };
};
struct Starting {
  template <class Part>
  static constexpr std::size_t of = requires(const Part part, Starter<typename Part::Scalar>& starter) {
    part.start(starter);
  };
};

/// Which of N entries take part.
template <std::size_t N>
struct Selection {
  std::array<std::size_t, N> entry{};
  std::size_t size = 0;
};
template <std::size_t N>
[[nodiscard]] constexpr Selection<N> select(const std::array<std::size_t, N>& shares) {
  Selection<N> selection;
  for (std::size_t i = 0; i < N; ++i)
    if (shares[i] > 0) selection.entry[selection.size++] = i;
  return selection;
}
/// The numbers of the entries whose parts take part, as a std::index_sequence.
template <class Share, class... Parts>
struct ChosenOf {
  static constexpr std::array<std::size_t, sizeof...(Parts)> shares{Share::template of<Parts>...};
  static constexpr Selection<sizeof...(Parts)> selection = select(shares);
  template <std::size_t... K>
  static auto list(std::index_sequence<K...>) -> std::index_sequence<selection.entry[K]...>;
  using type = decltype(list(std::make_index_sequence<selection.size>{}));
};

// The check of nodes, out of line: it runs once, and no part's type matters to it.
[[noreturn, gnu::cold]] inline void refuse_nodes(std::size_t nodes) {
  raise(InvalidRequest("circuit: " + std::to_string(nodes) + " nodes, allowed: at least 2"));
}
[[noreturn, gnu::cold]] inline void refuse_node(const char* label, Node node, std::size_t nodes) {
  raise(InvalidRequest(std::string(label) + ": node = " + std::to_string(node) + ", allowed: 0 to "
                       + std::to_string(nodes - 1)));
}
[[noreturn, gnu::cold]] inline void refuse_short(const char* label, Node node) {
  raise(InvalidRequest(std::string(label) + ": both ends are at node " + std::to_string(node)
                       + ", allowed: two different nodes"));
}
[[noreturn, gnu::cold]] inline void refuse_loose(std::size_t node) {
  raise(
      InvalidRequest("circuit: node " + std::to_string(node) + " joins no part"
                     + (node == 0 ? ", and it is the ground that all voltages count from; wire the common side of the "
                                    "circuit to it"
                                  : "; wire something to it, or leave it out of the count")));
}
[[noreturn, gnu::cold]] inline void refuse_initial(const char* label) {
  raise(InvalidRequest(std::string(label) + ": initial voltage contradicts those of the capacitors in its loop"));
}
[[noreturn, gnu::cold]] inline void refuse_label(const char* label) {
  raise(InvalidRequest(std::string("no part is labelled '") + label + "'"));
}
/// Marks the nodes that a part joins.
inline void touch(const char* label, const Node* terminals, std::size_t count, std::size_t nodes, char* touched) {
  bool spans = false;
  for (std::size_t k = 0; k < count; ++k) {
    const Node node = terminals[k];
    if (node < 0 || static_cast<std::size_t>(node) >= nodes) refuse_node(label, node, nodes);
    touched[node] = 1;
    spans = spans || node != terminals[0];
  }
  if (!spans) refuse_short(label, terminals[0]);
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
  template <class Share>
  using Chosen = typename detail::ChosenOf<Share, PartOf<Entries>...>::type;
  static constexpr bool has_fixed_entries = ((entry_extent<Entries> != dynamic_extent) && ...);

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
  [[nodiscard]] std::size_t unknowns() const { return nodes_ - 1 + total<detail::OwnUnknowns>(); }
  [[nodiscard]] std::size_t followers() const { return total<detail::Followers>(); }
  [[nodiscard]] std::size_t guards() const { return total<detail::Guards>(); }
  [[nodiscard]] std::size_t ports() const { return total<detail::Ports>(); }
  [[nodiscard]] Plain<S> nominal(std::size_t k) const {
    Plain<S> size(1);
    at_own(k, [&]([[maybe_unused]] const auto& part, [[maybe_unused]] std::size_t own) {
      if constexpr (requires { part.nominal(own); }) size = part.nominal(own);
    });
    return size;
  }
  void write(const Instant<S>& at, const Mode& mode, Equations<S>& equations) const {
    each(Chosen<detail::Everyone>{}, mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      PartEquations<S> view(at, place, equations);
      part.write(view, memory);
    });
  }
  void follow(const Instant<S>& at, const Mode& mode, FollowRate<S>* rates) const {
    each(Chosen<detail::Followers>{}, mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      for (std::size_t k = 0; k < detail::followers_of<std::decay_t<decltype(part)>>; ++k)
        rates[place.follower + k] = FollowRate<S>{};
      part.follow(PartView<S>(at, place), memory, rates + place.follower);
    });
  }
  [[nodiscard]] S guard(std::size_t k, const Instant<S>& at, const Mode& mode) const {
    S value(1);
    at_share<detail::Guards>(k, mode,
                             [&](const auto& part, std::size_t own, const PartPlace& place, const auto& memory) {
                               value = part.guard(own, PartView<S>(at, place), memory);
                             });
    return value;
  }
  [[nodiscard]] bool opens(std::size_t k, const Mode& mode) const {
    bool result = false;
    at_share<detail::Guards>(k, mode, [&](const auto& part, std::size_t own, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.opens(own, memory); }) result = part.opens(own, memory);
    });
    return result;
  }
  Change fire(std::size_t k, const Instant<S>& at, Mode& mode, S* followers_now) const {
    Change change;
    at_share<detail::Guards>(k, mode, [&](const auto& part, std::size_t own, const PartPlace& place, auto& memory) {
      change = part.fire(own, PartView<S>(at, place), memory, followers_now + place.follower);
    });
    return change;
  }
  [[nodiscard]] S next_breakpoint(const S& time, const Mode& mode) const {
    S next = unlimited<S>();
    each(Chosen<detail::Scheduled>{}, mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      next = math::min(next, part.next_breakpoint(time, memory));
    });
    return next;
  }
  void pass_breakpoint(const S& time, Mode& mode) const {
    each(Chosen<detail::PassingBreakpoints>{}, mode,
         [&](const auto& part, const PartPlace&, auto& memory) { part.pass_breakpoint(time, memory); });
  }
  /// s, so long that no part that moves by time alone goes there and back unseen.
  [[nodiscard]] S longest_step(const Mode& mode) const {
    S longest = unlimited<S>();
    each(Chosen<detail::StepLimiting>{}, mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      longest = math::min(longest, part.longest_step(memory));
    });
    return longest;
  }
  [[nodiscard]] Port port(std::size_t k, const Mode& mode) const {
    Port port;
    at_share<detail::Ports>(k, mode, [&](const auto& part, std::size_t, const PartPlace& place, const auto& memory) {
      const PartPort asked = part.port(memory);
      port = {row(asked.plus), row(asked.minus), place.own + asked.own, asked.wanted, asked.urgent};
    });
    return port;
  }
  void accept_port(std::size_t k, const PortReading<S>& reading, Mode& mode) const {
    at_share<detail::Ports>(k, mode, [&](const auto& part, std::size_t, const PartPlace&, auto& memory) {
      part.accept_port(reading, memory);
    });
  }
  [[nodiscard]] S steady_need(std::size_t k, const Mode& mode) const {
    S need = unlimited<S>();
    at_share<detail::Ports>(k, mode, [&](const auto& part, std::size_t, const PartPlace&, const auto& memory) {
      if constexpr (requires { part.steady_need(memory); }) need = part.steady_need(memory);
    });
    return need;
  }
  [[nodiscard]] bool slow(std::size_t k) const {
    bool slow = false;
    at_own(k, [&]([[maybe_unused]] const auto& part, [[maybe_unused]] std::size_t own) {
      if constexpr (requires { part.slow(own); }) slow = part.slow(own);
    });
    return slow;
  }

  // What the exact scheme asks; see stepping/linear.hpp.
  static constexpr bool piecewise_linear = (detail::is_piecewise_linear<PartOf<Entries>> && ...);
  /// True if a part has states, and is curved in some: a catalogue tube, whose grid current has kinks.
  static constexpr bool curved_between_states =
      ((detail::has_pattern<PartOf<Entries>> && !detail::is_piecewise_linear<PartOf<Entries>>) || ...);
  static constexpr std::size_t pattern_extent = [] {
    std::size_t sum = 0;
    ((sum = extent_sum(sum, detail::has_pattern<PartOf<Entries>> ? entry_extent<Entries> : 0)), ...);
    return sum;
  }();
  [[nodiscard]] std::size_t pattern_size() const { return total<detail::Patterns>(); }
  void pattern(const Mode& mode, unsigned char* numbers) const {
    each(Chosen<detail::Patterns>{}, mode, [&](const auto& part, const PartPlace&, const auto& memory) {
      *numbers++ = static_cast<unsigned char>(part.pattern(memory));
    });
  }
  template <class Take>
  void drives(const S& time, const Mode& mode, Take&& take) const {
    each(Chosen<detail::Driving>{}, mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      using Part = std::decay_t<decltype(part)>;
      if constexpr (detail::drives_own_row<Part>) {
        Drive<S> drive = part.drive(time, memory);
        drive.row += place.own;
        take(drive);
      }
      if constexpr (detail::injects<Part>)
        part.inject(time, memory, [&](Node node, Drive<S> drive) {
          drive.row = row(node);
          if (node != ground_node) take(drive);
        });
    });
  }
  /// False if the part does not write its guard out; a guard that is not asked about at present has no sums.
  [[nodiscard]] bool margin(std::size_t k, const Mode& mode, Margin<S>& margin) const {
    bool written = true;
    at_share<detail::Guards>(k, mode,
                             [&](const auto& part, std::size_t own, const PartPlace& place, const auto& memory) {
                               written = write_margin(part, own, PartMargin<S>(place, margin), memory);
                             });
    return written;
  }
  [[nodiscard]] bool follows_straight(std::size_t k) const {
    bool straight = true;
    each(Chosen<detail::SayingStraight>{}, no_mode, [&](const auto& part, const PartPlace& place, NoMemory) {
      if (k >= place.follower && k < place.follower + detail::followers_of<std::decay_t<decltype(part)>>)
        straight = part.follows_straight(k - place.follower);
    });
    return straight;
  }

  // What builders ask.
  /// Memories at the start of a run.
  [[nodiscard]] Mode start_mode(const S& time = S(0)) const { return start_mode(time, Chosen<detail::Everyone>{}); }
  /// Fills the unknowns at the start of a run: capacitors and own unknowns at their initial values. `x` holds zeros.
  /// @throws InvalidRequest if capacitors in a loop are given voltages that do not add up
  void start_unknowns(S* x) const {
    auto known = zeros<char, Nodes>(nodes_);
    known[0] = 1;
    Starter<S> starter(x, known.data());
    do {
      each(Chosen<detail::Starting>{}, no_mode, [&](const auto& part, const PartPlace& place, NoMemory) {
        starter.place(place);
        part.start(starter);
        if (starter.contradiction()) detail::refuse_initial(part.label);
      });
    } while (starter.next_round());
  }

  [[nodiscard]] std::size_t nodes() const noexcept { return nodes_; }
  /// Number of parts.
  [[nodiscard]] std::size_t size() const { return total<detail::Everyone>(); }
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
    each(Chosen<detail::Everyone>{}, mode, [&](const auto& part, const PartPlace& place, const auto& memory) {
      f(part, PartView<S>(at, place), memory);
    });
  }
  /// Calls f(part) for every part in order.
  template <class Function>
  void visit(Function&& f) const {
    each(Chosen<detail::Everyone>{}, no_mode, [&](const auto& part, const PartPlace&, NoMemory) { f(part); });
  }
  /// The number of the first part with this label.
  /// @throws InvalidRequest naming the label if there is none
  [[nodiscard]] std::size_t find(const char* label) const {
    std::size_t index = 0;
    bool found = false;
    each(Chosen<detail::Everyone>{}, no_mode, [&](const auto& part, const PartPlace&, NoMemory) {
      found = found || std::strcmp(part.label, label) == 0;
      index += found ? 0 : 1;
    });
    if (!found) detail::refuse_label(label);
    return index;
  }

 private:
  template <std::size_t I>
  using EntryPart = PartOf<std::tuple_element_t<I, std::tuple<Entries...>>>;

  /// Where a mode is asked for and no part's memory is needed.
  static constexpr NoMemory no_mode{};

  [[nodiscard]] static std::size_t row(Node node) {
    return node == ground_node ? Port::no_row : static_cast<std::size_t>(node - 1);
  }

  template <std::size_t... I>
  [[nodiscard]] std::array<std::size_t, sizeof...(Entries)> counts(std::index_sequence<I...>) const {
    return {detail::count(std::get<I>(entries_))...};
  }
  /// What the shares of the parts in the first `entries` entries come to.
  template <class Share>
  [[nodiscard]] std::size_t total(std::size_t entries = sizeof...(Entries)) const {
    std::size_t sum = 0;
    if constexpr (has_fixed_entries) {
      constexpr std::array<std::size_t, sizeof...(Entries)> here{
          Share::template of<PartOf<Entries>> * entry_extent<Entries>...};
      for (std::size_t i = 0; i < entries; ++i) sum += here[i];
    } else {
      const auto parts = counts(Chosen<detail::Everyone>{});
      for (std::size_t i = 0; i < entries; ++i)
        sum += parts[i] * detail::ChosenOf<Share, PartOf<Entries>...>::shares[i];
    }
    return sum;
  }
  /// Where the own rows of part i of entry I stand.
  template <std::size_t I>
  [[nodiscard]] PartPlace place(std::size_t i = 0) const {
    return {nodes_ - 1 + total<detail::OwnUnknowns>(I) + i * detail::own_unknowns_of<EntryPart<I>>,
            total<detail::Followers>(I) + i * detail::followers_of<EntryPart<I>>};
  }
  template <std::size_t I, class SomeMode>
  [[nodiscard]] static auto& memory(SomeMode& mode, [[maybe_unused]] std::size_t i) {
    if constexpr (std::same_as<SomeMode, const NoMemory>)
      return mode;
    else
      return std::get<I>(mode)[i];
  }

  /// f(part, place, memory) for every part of the entries I, in order.
  template <std::size_t... I, class SomeMode, class Function>
  void each(std::index_sequence<I...>, [[maybe_unused]] SomeMode& mode, [[maybe_unused]] Function&& f) const {
    (each_of_entry<I>(mode, f), ...);
  }
  template <std::size_t I, class SomeMode, class Function>
  void each_of_entry(SomeMode& mode, Function& f) const {
    const auto& entry = std::get<I>(entries_);
    PartPlace here = place<I>();
    for (std::size_t i = 0; i < detail::count(entry); ++i) {
      f(detail::part_at(entry, i), here, memory<I>(mode, i));
      here.own += detail::own_unknowns_of<EntryPart<I>>;
      here.follower += detail::followers_of<EntryPart<I>>;
    }
  }
  /// f(part, number, place, memory) for the part that holds number k when every part holds its share of them.
  template <class Share, class SomeMode, class Function>
  void at_share(std::size_t k, SomeMode& mode, Function&& f) const {
    at_share<Share>(Chosen<Share>{}, k, mode, f);
  }
  template <class Share, std::size_t... I, class SomeMode, class Function>
  void at_share(std::index_sequence<I...>, [[maybe_unused]] std::size_t k, [[maybe_unused]] SomeMode& mode,
                [[maybe_unused]] Function& f) const {
    static_cast<void>((is_at_entry<Share, I>(k, mode, f) || ...));
  }
  template <class Share, std::size_t I, class SomeMode, class Function>
  [[nodiscard]] bool is_at_entry(std::size_t& k, SomeMode& mode, Function& f) const {
    constexpr std::size_t each_has = Share::template of<EntryPart<I>>;
    const auto& entry = std::get<I>(entries_);
    const std::size_t here = each_has * detail::count(entry);
    if (k >= here) return k -= here, false;
    const std::size_t i = k / each_has;
    f(detail::part_at(entry, i), k % each_has, place<I>(i), memory<I>(mode, i));
    return true;
  }
  /// f(part, its number of the unknown) for the part that unknown k belongs to, if it is not a node's.
  template <class Function>
  void at_own(std::size_t k, Function&& f) const {
    if (k < nodes_ - 1) return;
    at_share<detail::OwnUnknowns>(k - (nodes_ - 1), no_mode,
                                  [&](const auto& part, std::size_t own, const PartPlace&, NoMemory) { f(part, own); });
  }
  template <class Part, class Memory>
  [[nodiscard]] static bool write_margin([[maybe_unused]] const Part& part, [[maybe_unused]] std::size_t own,
                                         [[maybe_unused]] PartMargin<S> view, [[maybe_unused]] const Memory& memory) {
    if constexpr (requires { bool(part.margin(own, view, memory)); })
      return part.margin(own, view, memory);
    else if constexpr (requires { part.margin(own, view, memory); })
      return part.margin(own, view, memory), true;
    else
      return false;
  }

  template <std::size_t... I>
  [[nodiscard]] Mode start_mode(const S& time, std::index_sequence<I...>) const {
    return Mode{memories(std::get<I>(entries_), time)...};
  }
  template <class Entry>
  [[nodiscard]] static Storage<MemoryOf<Entry>, entry_extent<Entry>> memories(const Entry& entry,
                                                                              [[maybe_unused]] const S& time) {
    auto result = filled<MemoryOf<Entry>, entry_extent<Entry>>(detail::count(entry), MemoryOf<Entry>{});
    for (std::size_t i = 0; i < detail::count(entry); ++i)
      if constexpr (requires { detail::part_at(entry, i).memory(time); })
        result[i] = detail::part_at(entry, i).memory(time);
    return result;
  }

  void check() const {
    if (nodes_ < 2 || (Nodes != dynamic_extent && nodes_ != Nodes)) detail::refuse_nodes(nodes_);
    auto touched = zeros<char, Nodes>(nodes_);
    visit([&](const auto& part) {
      const auto terminals = part.terminals();
      detail::touch(part.label, terminals.data(), terminals.size(), nodes_, touched.data());
    });
    for (std::size_t node = 0; node < nodes_; ++node)
      if (touched[node] == 0) detail::refuse_loose(node);
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
