// SPDX-License-Identifier: MIT
#pragma once
/// Finds wiring mistakes before a run, and names part, node and remedy. start() asks it of every circuit; asked before,
/// it calls nodes by their names:
///   check_wiring(circuit, {.names = named_nodes("ground", "supply", "plate")});
///
/// A circuit is made with nodes and parts that exist, each part across two nodes at least, and ground among them (see
/// Circuit). What is left to find here: mistakes that make the equations unsolvable, and such as give a circuit that
/// runs but is hardly meant. The heap is touched only where sizes are dynamic, or once a fault is found.

#include "gastube/circuit/circuit.hpp"

#include <initializer_list>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

namespace gastube {

/// Names of nodes 0, 1, 2, ... for the text of faults.
template <class... Names>
[[nodiscard]] std::array<const char*, sizeof...(Names)> named_nodes(Names... names) {
  return {names...};
}

struct WiringQuestions {
  std::span<const char* const> names = {};  ///< of the nodes, see named_nodes(); may be shorter than their number
  bool heaters = true;                      ///< also find tubes whose heater is not wired
  bool only_unsolvable = false;             ///< only what no run could start from
};

/// One mistake.
struct WiringFault {
  std::string part;  ///< label of the part it was found at; "circuit" if it is nobody's
  Node node;
  std::string text;  ///< all of it in words, with what to do
  bool unsolvable;   ///< no run could start
};

namespace detail {
/// Links of a part; without any of its own, from its first terminal to each other.
template <class Part>
[[nodiscard]] auto links_of(const Part& part) {
  if constexpr (requires { part.links(); }) {
    return part.links();
  } else {
    const auto nodes = part.terminals();
    std::array<Link, std::tuple_size_v<std::remove_cvref_t<decltype(nodes)>>> links{};
    for (std::size_t k = 0; k < nodes.size(); ++k) links[k] = {nodes[0], nodes[k]};
    return links;
  }
}

/// Nodes in groups that grow together.
class NodeGroups {
 public:
  /// @param room one place a node, to work in
  explicit NodeGroups(std::span<std::size_t> room) : leader_(room) {
    for (std::size_t k = 0; k < leader_.size(); ++k) leader_[k] = k;
  }
  [[nodiscard]] std::size_t group(Node node) {
    std::size_t k = static_cast<std::size_t>(node);
    while (leader_[k] != k) k = leader_[k] = leader_[leader_[k]];  // halves the way for the next who asks
    return k;
  }
  [[nodiscard]] bool same(Node a, Node b) { return group(a) == group(b); }
  /// Joins the groups of two nodes; false if they were one already.
  bool join(Node a, Node b) {
    const std::size_t one = group(a), other = group(b);
    leader_[one > other ? one : other] = one > other ? other : one;  // so ground leads its group
    return one != other;
  }

 private:
  std::span<std::size_t> leader_;
};

/// What the check asks of a circuit, without the types of its parts.
struct WiringPlan {
  struct Joined {
    std::size_t part = 0;
    Link link = {};
  };
  struct Unheated {
    std::size_t part = 0;
    Node cathode = ground_node;
  };
  std::span<const char* const> labels = {};  ///< of the parts
  std::span<const Joined> links = {};        ///< those between two nodes
  std::span<const Unheated> unheated = {};   ///< tubes whose heater is not wired
  std::span<std::size_t> room = {};          ///< one place a node, to work in
};

/// Holds what the plan of a circuit points to.
template <class Wired>
class WiringRoom;
template <std::size_t Nodes, class... Entries>
class WiringRoom<Circuit<Nodes, Entries...>> {
  template <class Entry>
  static constexpr std::size_t links_per =
      std::tuple_size_v<std::remove_cvref_t<decltype(links_of(std::declval<const typename EntryOf<Entry>::Part&>()))>>;

  [[nodiscard]] static constexpr std::size_t sum(std::initializer_list<std::size_t> extents) {
    std::size_t total = 0;
    for (const std::size_t extent : extents) total = extent_sum(total, extent);
    return total;
  }
  static constexpr std::size_t part_extent = sum({EntryOf<Entries>::extent...});
  static constexpr std::size_t link_extent = sum({extent_product(links_per<Entries>, EntryOf<Entries>::extent)...});
  [[nodiscard]] static std::size_t number_of_links(const Circuit<Nodes, Entries...>& circuit) {
    std::size_t total = 0;
    circuit.visit([&](const auto& part) { total += links_of(part).size(); });
    return total;
  }

 public:
  explicit WiringRoom(const Circuit<Nodes, Entries...>& circuit)
      : labels_(filled<const char*, part_extent>(circuit.size(), nullptr))
      , links_(filled<WiringPlan::Joined, link_extent>(number_of_links(circuit), {}))
      , unheated_(filled<WiringPlan::Unheated, part_extent>(circuit.size(), {}))
      , nodes_(zeros<std::size_t, Nodes>(circuit.nodes())) {
    circuit.visit([&](const auto& part) { take(part); });
  }
  [[nodiscard]] WiringPlan plan() {
    return {std::span(labels_).first(parts_taken_), std::span(links_).first(links_taken_),
            std::span(unheated_).first(unheated_taken_), nodes_};
  }

 private:
  template <class Part>
  void take(const Part& part) {
    for (const Link& link : links_of(part))
      if (link.a != link.b) links_[links_taken_++] = {parts_taken_, link};
    if constexpr (requires {
                    Part::heated;
                    part.heater_wired();
                  })
      if (Part::heated && !part.heater_wired()) unheated_[unheated_taken_++] = {parts_taken_, part.at.cathode};
    labels_[parts_taken_++] = part.label;
  }

  Storage<const char*, part_extent> labels_;
  Storage<WiringPlan::Joined, link_extent> links_;
  Storage<WiringPlan::Unheated, part_extent> unheated_;
  Storage<std::size_t, Nodes> nodes_;
  std::size_t parts_taken_ = 0, links_taken_ = 0, unheated_taken_ = 0;
};

/// One text of several pieces.
[[nodiscard]] inline std::string in_one(std::initializer_list<std::string_view> pieces) {
  std::string all;
  for (const std::string_view piece : pieces) all.append(piece);
  return all;
}

class WiringCheck {
 public:
  WiringCheck(const WiringPlan& plan, const WiringQuestions& questions) : plan_(plan), questions_(questions) {}

  [[nodiscard]] std::vector<WiringFault> faults() {
    find_source_loops();
    find_floating_groups();
    if (!questions_.only_unsolvable) {
      find_floating_grids();
      find_loose_ends();
    }
    if (questions_.heaters) find_heaters();
    return std::move(faults_);
  }

 private:
  using Joined = WiringPlan::Joined;

  [[nodiscard]] std::string name(Node node) const {
    const std::string number = std::to_string(node);
    const std::size_t k = static_cast<std::size_t>(node);
    return k < questions_.names.size() ? in_one({"node ", number, " (", questions_.names[k], ")"})
                                       : in_one({"node ", number});
  }
  [[nodiscard]] const char* label(std::size_t part) const { return plan_.labels[part]; }
  /// Whether a fault at that node is known already.
  [[nodiscard]] bool is_named(Node node) const {
    for (const WiringFault& fault : faults_)
      if (fault.node == node) return true;
    return false;
  }
  void add(const char* part, Node node, bool unsolvable, std::initializer_list<std::string_view> text) {
    faults_.push_back({part, node, in_one({part, ": ", in_one(text)}), unsolvable});
  }
  /// Of these one at a time: they share their room.
  [[nodiscard]] NodeGroups joined_by(std::initializer_list<Joint> joints) const {
    NodeGroups groups(plan_.room);
    for (const Joined& one : plan_.links)
      for (const Joint joint : joints)
        if (one.link.joint == joint) groups.join(one.link.a, one.link.b);
    return groups;
  }

  /// Ideal voltage sources in parallel, or in a ring.
  void find_source_loops() {
    NodeGroups held(plan_.room);
    for (const Joined& one : plan_.links) {
      if (one.link.joint != Joint::holds || held.join(one.link.a, one.link.b)) continue;
      add(label(one.part), one.link.a, true,
          {name(one.link.a), " and ", name(one.link.b), " are already held against each other by ", holders(one),
           "; leave one of them out, or put its resistance in series"});
    }
  }
  /// The other ideal sources between the nodes: the one straight across them, or all.
  [[nodiscard]] std::string holders(const Joined& found) const {
    const Link& loop = found.link;
    std::string all;
    for (const Joined& one : plan_.links) {
      const Link& link = one.link;
      if (link.joint != Joint::holds || one.part == found.part) continue;
      if ((link.a == loop.a && link.b == loop.b) || (link.a == loop.b && link.b == loop.a)) return label(one.part);
      all.append(all.empty() ? "" : ", ").append(label(one.part));
    }
    return in_one({"other ideal sources (of ", all, ")"});
  }

  /// Nodes whose voltage against ground nothing fixes, not even charge.
  void find_floating_groups() {
    NodeGroups fixed = joined_by({Joint::conducts, Joint::holds, Joint::stores});
    for (std::size_t k = 1; k < plan_.room.size(); ++k) {
      const Node node = static_cast<Node>(k);
      if (fixed.group(node) != k) continue;
      std::string members = name(node);
      bool single = true;
      for (Node other = node + 1; static_cast<std::size_t>(other) < plan_.room.size(); ++other)
        if (fixed.same(node, other)) members.append(", ").append(name(other)), single = false;
      add("circuit", node, true,
          {members, single ? " has no path to ground; tie it" : " have no path to ground; tie one of them",
           " to node 0, or by a resistor"});
    }
  }

  /// Nodes at which a single part ends.
  void find_loose_ends() {
    constexpr std::size_t none = static_cast<std::size_t>(-1), several = none - 1;
    const std::span<std::size_t> owner = plan_.room;
    for (std::size_t& here : owner) here = none;
    for (const Joined& one : plan_.links)
      for (const Node node : {one.link.a, one.link.b}) {
        std::size_t& here = owner[static_cast<std::size_t>(node)];
        here = here == none || here == one.part ? one.part : several;
      }
    for (std::size_t k = 0; k < owner.size(); ++k)
      if (const Node node = static_cast<Node>(k); owner[k] < several && !is_named(node))
        add(label(owner[k]), node, false, {"nothing else is at ", name(node), "; wire it on, or leave the part out"});
  }

  /// Grids that no steady current can reach: their bias is chance.
  void find_floating_grids() {
    NodeGroups steady = joined_by({Joint::conducts, Joint::holds});
    for (const Joined& one : plan_.links) {
      if (one.link.joint != Joint::controls || steady.same(one.link.a, one.link.b)) continue;
      add(label(one.part), one.link.a, false,
          {one.link.terminal, " at ", name(one.link.a),
           " floats: no resistor or source leads from it to the cathode; give it a resistor to its bias, for most "
           "types 0.1 to 10 Mohm at most"});
    }
  }

  void find_heaters() {
    for (const auto& [part, cathode] : plan_.unheated)
      add(label(part), cathode, false,
          {"its heater is not wired; give .heater the node that the heater's supply is tied to: the cathode's, ",
           name(cathode), ", or whichever it is"});
  }

  WiringPlan plan_;
  WiringQuestions questions_;
  std::vector<WiringFault> faults_;
};

[[noreturn]] inline void refuse_wiring(const std::vector<WiringFault>& faults) {
  std::string text;
  for (const WiringFault& fault : faults) text.append(text.empty() ? "" : "\n").append(fault.text);
  raise(InvalidRequest(text));
}
}  // namespace detail

/// All mistakes found.
template <std::size_t Nodes, class... Entries>
[[nodiscard]] std::vector<WiringFault> wiring_faults(const Circuit<Nodes, Entries...>& circuit,
                                                     const WiringQuestions& questions = {}) {
  detail::WiringRoom<Circuit<Nodes, Entries...>> room(circuit);
  return detail::WiringCheck(room.plan(), questions).faults();
}

/// @throws InvalidRequest with a line for each mistake found
template <std::size_t Nodes, class... Entries>
void check_wiring(const Circuit<Nodes, Entries...>& circuit, const WiringQuestions& questions = {}) {
  const std::vector<WiringFault> faults = wiring_faults(circuit, questions);
  if (!faults.empty()) detail::refuse_wiring(faults);
}

}  // namespace gastube
