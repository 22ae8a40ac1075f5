// SPDX-License-Identifier: MIT
#pragma once
/// The patterns a run has met, so that each is worked out once. At fixed size a few are kept and the one unused for
/// longest makes room; at run-time size all are kept, up to a number.

#include "gastube/stepping/exact/pattern_builder.hpp"

#include <array>
#include <optional>
#include <type_traits>
#include <vector>

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class PatternCache {
 public:
  using S = typename System::Scalar;
  using Mode = typename System::Mode;
  using Form = Pattern<System>;

  explicit PatternCache(const System& system)
      : builder_(system), key_(filled<unsigned char, System::pattern_extent>(system.pattern_size(), 0)) {}

  /// The pattern of this mode; its status says whether the system can be solved there. Valid until the next call.
  [[nodiscard]] const Form& find(const System& system, const Mode& mode, const S& time) {
    system.pattern(mode, key_.data());
    ++clock_;
    for (std::size_t k = 0; k < filled_; ++k)
      if (Form& form = at(k); form.key == key_) {
        form.used = clock_;
        return form;
      }
    Form& form = room(system);
    form.key = key_;
    form.used = clock_;
    builder_.build(system, mode, time, form);
    ++built_;
    return form;
  }
  /// To be called when the system itself has changed.
  void forget() { filled_ = 0; }
  /// Patterns worked out so far.
  [[nodiscard]] long built() const { return built_; }

 private:
  static constexpr bool fixed = Form::square != dynamic_extent && Form::oblong != dynamic_extent;
  /// At fixed size as many as have room in a megabyte.
  static constexpr std::size_t most = [] {
    if constexpr (fixed) {
      constexpr std::size_t room = (std::size_t(1) << 20) / sizeof(Form);
      return room < 4 ? std::size_t(4) : room > 32 ? std::size_t(32) : room;
    } else
      return std::size_t(512);
  }();
  /// At fixed size room only, as most runs meet but a few patterns.
  using Forms = std::conditional_t<fixed, std::array<std::optional<Form>, fixed ? most : 1>, std::vector<Form>>;

  [[nodiscard]] Form& at(std::size_t k) {
    if constexpr (fixed)
      return *forms_[k];
    else
      return forms_[k];
  }
  [[nodiscard]] Form& room(const System& system) {
    if (filled_ == most) {
      Form* oldest = &at(0);
      for (std::size_t k = 1; k < filled_; ++k)
        if (at(k).used < oldest->used) oldest = &at(k);
      return *oldest;
    }
    if constexpr (fixed) {
      if (!forms_[filled_]) forms_[filled_].emplace(system);
    } else {
      if (filled_ == forms_.size()) forms_.emplace_back(system);
    }
    return at(filled_++);
  }

  PatternBuilder<System> builder_;
  Storage<unsigned char, System::pattern_extent> key_;
  Forms forms_;
  std::size_t filled_ = 0;
  long clock_ = 0, built_ = 0;
};

}  // namespace gastube::exact
