// SPDX-License-Identifier: MIT
#pragma once
/// The closed form between two events: unknowns and followers as waveforms, from the values at the segment's start.

#include "gastube/stepping/exact/pattern.hpp"

namespace gastube::exact {

template <PiecewiseLinearSystem System>
class Segment {
 public:
  using S = typename System::Scalar;
  using P = Plain<S>;
  using Mode = typename System::Mode;
  using Form = Pattern<System>;
  using Wave = typename Form::Wave;
  using Group = PlacedGroup<S>;
  static constexpr std::size_t extent = System::extent, follower_extent = System::follower_extent;

  explicit Segment(const System& system)
      : forced_(filled<Powers<S>, extent>(system.unknowns(), {}))
      , gap_(zeros<S, extent>(system.unknowns()))
      , amplitude_(filled<Complex<S>, extent>(system.unknowns(), {}))
      , now_(amplitude_)
      , real_amplitude_(gap_)
      , real_now_(gap_)
      , filtered_(gap_)
      , group_powers_(filled<Complex<S>, extent_product(extent, top_swing_power + 1)>(
            system.unknowns() * (top_swing_power + 1), {}))
      , pushed_(filled<Powers<Complex<S>>, extent>(system.unknowns(), {}))
      , swing_(filled<Complex<S>, Form::square>(system.unknowns() * system.unknowns(), {}))
      , at_rest_(gap_)
      , start_(gap_)
      , rates_(filled<FollowRate<S>, follower_extent>(system.followers(), {}))
      , y_(zeros<S, follower_extent>(system.followers()))
      , goal_(y_)
      , free_(y_)
      , carried_(zeros<char, follower_extent>(system.followers()))
      , curve_(filled<Powers<S>, follower_extent>(system.followers(), {}))
      , exponentials_(zeros<S, Form::rate_extent>(system.unknowns() + system.followers())) {
    if constexpr (Form::rate_extent == dynamic_extent) {
      const std::size_t most = system.unknowns() + system.followers();
      driving_.resize(most, most);
      following_.resize(most, most);
    }
  }

  /// @param x unknowns just before the start (charges and fluxes are conserved), @param y followers at the start
  /// @param late s, what the round-off of `time` hides
  /// @return false if the answer needs a higher power of time than there is room for
  [[nodiscard]] bool start(const Form& form, const System& system, const Mode& mode, const S& time, const S* x,
                           const S* y, P late = P(0)) {
    form_ = &form;
    late_ = late;
    is_filtered_ = false;
    any_curved_ = false;
    for (char& carried : carried_) carried = 0;
    for (std::size_t f = 0; f < y_.size(); ++f) y_[f] = y[f];
    if (y_.size() > 0) system.follow({time, at_rest_.data(), y}, mode, rates_.data());
    for (std::size_t f = 0; f < y_.size(); ++f)
      if (value_of(form.law[f].decay) > P(0)) {
        goal_[f] = S(rates_[f].source / form.law[f].decay);
        free_[f] = S(y_[f] - goal_[f]);
        any_curved_ = any_curved_ || form.law[f].driven;
      } else {
        any_curved_ = true;
      }
    if (!find_forced(system, mode, time)) return false;
    const std::size_t n = order();
    for (std::size_t j = 0; j < n; ++j) {
      start_[j] = forced_at_start(j);
      gap_[j] = S(x[j] - start_[j]);
    }
    find_amplitudes();
    if (form.base.swing_count > 0) real_now_ = real_amplitude_;  // those that belong to no group, beside pairs, too
    only_fades_ = !forced_moves_ && form.only_fades && !form.any_acts && form.source_swings == 0;
    for (std::size_t k = 0; k < form.groups; ++k)
      if (form.group[k].swings) find_group_powers(form.group[k]);
    return true;
  }

  [[nodiscard]] const Form& form() const { return *form_; }

  /// What the system says of its sources, counted from the segment's start; @param time of that
  template <class Take>
  void drives(const System& system, const Mode& mode, const S& time, Take&& take) const {
    system.drives(time, mode, [&](Drive<S> drive) {
      if (late_ != P(0)) {
        const S angle = S(drive.turn * late_), cosine = drive.cosine;
        drive.level += drive.slope * late_;
        drive.cosine += angle * drive.sine;
        drive.sine -= angle * cosine;
      }
      take(drive);
    });
  }

  /// Unknowns right after the start.
  void unknowns_at_start(S* x) const {
    const Form& form = *form_;
    const std::size_t n = order(), m = form.modes;
    for (std::size_t j = 0; j < n; ++j) {
      x[j] = S(start_[j] + product(form.reply.re.data() + j * m, real_amplitude_.data(), m));
      if (form.reply.turned)
        for (std::size_t i = 0; i < m; ++i) x[j] -= form.reply.im[j * m + i] * amplitude_[i].im;
    }
  }
  /// Unknowns at t, s since the start.
  void unknowns(const S& t, S* x) {
    look_at(t);
    const std::size_t n = order(), m = form_->modes;
    for (std::size_t j = 0; j < n; ++j) {
      const Powers<S>& f = forced_[j];
      S sum = forced_moves_ ? S(f[0] + t * (f[1] + t * (f[2] + t * f[3]))) : f[0];
      sum += product(form_->reply.re.data() + j * m, real_now_.data(), m);
      x[j] = sum;
    }
    if (form_->base.swing_count > 0) add_swings(t, x);
    for (std::size_t f = 0; form_->any_acts && f < y_.size(); ++f)
      if (form_->law[f].acts && value_of(form_->law[f].decay) > P(0))
        for (std::size_t j = 0; j < n; ++j)
          x[j] += form_->acting[f * n + j] * free_part(f) * exponentials_[form_->law[f].slot];
  }
  /// Followers at t; to be called after unknowns() for the same t.
  void followers(const S& t, S* y) {
    if (!any_curved_) {
      for (std::size_t f = 0; f < y_.size(); ++f) y[f] = S(goal_[f] + free_[f] * exponentials_[form_->law[f].slot]);
      return;
    }
    for (std::size_t f = 0; f < y_.size(); ++f) y[f] = follower(f, t);
  }

  /// Follower f is carried: over this window it runs along a cubic.
  void carry(std::size_t f, const Powers<S>& curve) {
    any_curved_ = true;
    carried_[f] = 1;
    curve_[f] = curve;
  }

  /// What round-off of all the unknowns and sources at the start may come to in unknown j.
  [[nodiscard, gnu::cold]] P doubt(std::size_t j) const {
    const Form& form = *form_;
    const std::size_t n = order(), m = form.modes;
    P sum = math::abs(value_of(start_[j]));
    for (std::size_t i = 0; i < m; ++i) {
      const P share = size_of(form.reply[j * m + i]);
      for (std::size_t k = 0; share > P(0) && k < n; ++k)
        sum += share * size_of(form.pick[k * m + i])
               * (math::abs(value_of(gap_[k])) + P(2) * math::abs(value_of(start_[k])));
    }
    return round_off<S> * sum;
  }

  /// Within what unknown j stays for `until` s where not all just fades; wide rather than sharp.
  [[nodiscard]] Range<P> unknown_range(std::size_t j, P until) const {
    const Form& form = *form_;
    const std::size_t n = order(), m = form.modes;
    Outlook<P> out;
    if (forced_moves_)
      detail::look_at_powers(forced_[j], P(0), until, out);
    else
      out.values.add(value_of(forced_[j][0]), value_of(forced_[j][0]));
    const auto fade = [&](const S& amplitude, const S& rate) {
      const P first = value_of(amplitude), r = value_of(rate);
      out.values.add(first, r < P(0) ? P(0) : first * math::exp(P(r * until)));
    };
    for (std::size_t k = 0; k < form.groups; ++k) {
      const Group& g = form.group[k];
      if (!g.swings)
        fade(S(form.reply.re[j * m + g.first] * amplitude_[g.first].re), form.base.rates[g.slot]);
      else
        for (std::size_t i = 0; i < g.size; ++i)
          widen_by_group(g, i, form.reply[j * m + g.first + i], until, out.values);
    }
    for (std::size_t s = 0; s < form.source_swings; ++s) out.values.widen(size_of(swing_[s * n + j]));
    for (std::size_t f = 0; form.any_acts && f < y_.size(); ++f)
      if (form.law[f].acts && value_of(form.law[f].decay) > P(0))
        fade(S(form.acting[f * n + j] * free_part(f)), form.base.rates[form.law[f].slot]);
    return out.values;
  }
  /// True if everything is constants and exponentials that fade, all of them real and simple; then unknown j is
  /// level(j) and the sum of reply(j, k) real_amplitude(k) exp(rate t) over the modes k.
  [[nodiscard]] bool only_fades() const { return only_fades_; }
  [[nodiscard]] const S& level(std::size_t j) const { return forced_[j][0]; }
  [[nodiscard]] const S& real_amplitude(std::size_t k) const { return real_amplitude_[k]; }
  /// True if follower f decays towards its source and is not carried.
  [[nodiscard]] bool is_filtered(std::size_t f) const {
    return carried_[f] == 0 && value_of(form_->law[f].decay) > P(0);
  }
  [[nodiscard]] const S& follower_at_start(std::size_t f) const { return y_[f]; }
  /// Its source, apart from what unknowns drive it with.
  [[nodiscard]] const S& source_of_follower(std::size_t f) const { return rates_[f].source; }

  /// True if follower f is a constant and an exponential, which no unknown drives.
  [[nodiscard]] bool only_decays(std::size_t f) const {
    return carried_[f] == 0 && !form_->law[f].driven && value_of(form_->law[f].decay) > P(0);
  }
  /// That constant, and the amplitude of exp(-decay t) beside it.
  [[nodiscard]] const S& level_of_follower(std::size_t f) const { return goal_[f]; }
  [[nodiscard]] const S& free_part(std::size_t f) const { return free_[f]; }

  /// True if unknowns are nothing but constants, exponentials and, if the timebase has a swing, that of a source.
  [[nodiscard]] bool is_simple() const {
    return !forced_moves_ && form_->base.swing_count <= 1 && form_->source_swings == form_->base.swing_count;
  }
  /// The swing number `s` of sources in unknown j.
  [[nodiscard]] const Complex<S>& source_swing(std::size_t s, std::size_t j) const { return swing_[s * order() + j]; }
  /// Adds factor times the constant and the exponentials of unknown j.
  template <class T>
  void add_simple_unknown(std::size_t j, const T& factor, T& constant, T* amplitudes) const {
    const Form& form = *form_;
    const std::size_t m = form.modes;
    constant += factor * in<T>(forced_[j][0]);
    for (std::size_t k = 0; k < form.groups; ++k)
      if (const Group& g = form.group[k]; !g.swings)
        amplitudes[g.slot] += factor * in<T>(form.reply.re[j * m + g.first]) * in<T>(real_amplitude_[g.first]);
    for (std::size_t f = 0; form.any_acts && f < y_.size(); ++f)
      if (form.law[f].acts && value_of(form.law[f].decay) > P(0))
        amplitudes[form.law[f].slot] += factor * in<T>(form.acting[f * order() + j]) * in<T>(free_[f]);
  }
  /// Adds factor times unknown j.
  void add_unknown(std::size_t j, const S& factor, Wave& wave) const {
    const Form& form = *form_;
    add_simple_unknown(j, factor, wave.powers[0], wave.amplitudes.data());
    for (std::size_t p = 1; forced_moves_ && p <= top_power; ++p) wave.powers[p] += factor * forced_[j][p];
    if (form.base.swing_count == 0) return;
    for (std::size_t k = 0; k < form.groups; ++k)
      if (form.group[k].swings) add_group(form.group[k], j, factor, wave.swings[form.group[k].slot]);
    for (std::size_t s = 0; s < form.source_swings; ++s) {
      const Complex<S>& swing = source_swing(s, j);
      wave.swings[form.first_source_swing + s].along[0] += factor * swing.re;
      wave.swings[form.first_source_swing + s].across[0] += factor * swing.im;
    }
  }
  /// Adds factor times follower f.
  void add_follower(std::size_t f, const S& factor, Wave& wave) {
    const FollowerLaw<S>& law = form_->law[f];
    if (carried_[f] != 0) {
      for (std::size_t p = 0; p <= top_power; ++p) wave.powers[p] += factor * curve_[f][p];
    } else if (law.driven) {
      drive(f);
      filter(law, y_[f], driving_, following_);
      wave.add(form_->base, factor, following_);
    } else if (value_of(law.decay) > P(0)) {
      wave.powers[0] += factor * goal_[f];
      wave.amplitudes[law.slot] += factor * free_part(f);
    } else {
      wave.powers[0] += factor * y_[f];
      wave.powers[1] += factor * rates_[f].source;
    }
  }

 private:
  /// Number of unknowns.
  [[nodiscard]] std::size_t order() const {
    if constexpr (extent == dynamic_extent)
      return form_->unknowns;
    else
      return extent;
  }
  /// With its derivatives or without.
  template <class T>
  [[nodiscard]] static T in(const S& v) {
    if constexpr (std::same_as<T, S>)
      return v;
    else
      return value_of(v);
  }
  void find_amplitudes() {
    const Form& form = *form_;
    const std::size_t m = form.modes;
    for (std::size_t i = 0; i < m; ++i) amplitude_[i] = {}, real_amplitude_[i] = S(0);
    for (std::size_t j = 0; j < order(); ++j) {
      const S gap = gap_[j];
      if (is_plain<S> && value_of(gap) == P(0)) continue;
      const S* const pick = form.pick.re.data() + j * m;
      for (std::size_t i = 0; i < m; ++i) real_amplitude_[i] += gap * pick[i];
      for (std::size_t i = 0; form.pick.turned && i < m; ++i) amplitude_[i].im += gap * form.pick.im[j * m + i];
    }
    for (std::size_t i = 0; i < m; ++i) amplitude_[i].re = real_amplitude_[i];
  }
  /// What sources and acting followers alone come to.
  [[nodiscard]] bool find_forced(const System& system, const Mode& mode, const S& time) {
    const Form& form = *form_;
    const std::size_t n = order();
    forced_ = form.rest;
    forced_moves_ = form.rest_moves;
    bool pushed = false;
    const auto push = [&](std::size_t row, const Powers<S>& source) {
      if (!pushed)
        for (std::size_t i = 0; i < form.modes; ++i) pushed_[i] = {};
      pushed = forced_moves_ = true;
      form.add_push(row, source, pushed_.data());
      form.add_at_once(row, source, forced_.data());
    };
    for (std::size_t k = 0; k < form.source_swings * n; ++k) swing_[k] = {};
    std::size_t number = 0;
    drives(system, mode, time, [&](const Drive<S>& drive) {
      if (form.quick_drives)
        add_drive(drive, number);
      else
        push(drive.row, {drive.level, drive.slope});
      if (value_of(drive.turn) > P(0)) add_swing(drive, number);
      ++number;
    });
    for (std::size_t f = 0; form.any_acts && f < y_.size(); ++f) {
      if (!form.law[f].acts) continue;
      const bool decays = value_of(form.law[f].decay) > P(0);
      const S& level = decays ? goal_[f] : y_[f];
      for (std::size_t j = 0; j < n; ++j) {
        const S& share = form.acts[f * n + j];
        push(j, {S(share * level), decays ? S(0) : S(share * rates_[f].source)});
      }
    }
    return !pushed || form.add_forced(pushed_.data(), forced_.data());
  }
  void add_drive(const Drive<S>& drive, std::size_t number) {
    const std::size_t n = order();
    const S* const reply = form_->drive_reply.data() + number * n;
    for (std::size_t j = 0; j < n; ++j) forced_[j][0] += drive.level * reply[j];
    if (is_plain<S> && value_of(drive.slope) == P(0)) return;
    forced_moves_ = true;
    for (std::size_t j = 0; j < n; ++j) {
      forced_[j][0] += drive.slope * form_->drive_lag[number * n + j];
      forced_[j][1] += drive.slope * reply[j];
    }
  }
  void add_swing(const Drive<S>& drive, std::size_t number) {
    const std::size_t n = order();
    const std::size_t swing = form_->swing_of_source[number] - form_->first_source_swing;
    const Complex<S> source{drive.cosine, S(-drive.sine)};
    for (std::size_t j = 0; j < n; ++j) swing_[swing * n + j] += source * form_->swing_answer[number * n + j];
  }
  [[nodiscard]] S forced_at_start(std::size_t j) const {
    const std::size_t n = order();
    S sum = forced_[j][0];
    for (std::size_t s = 0; s < form_->source_swings; ++s) sum += swing_[s * n + j].re;
    for (std::size_t f = 0; form_->any_acts && f < y_.size(); ++f)
      if (form_->law[f].acts && value_of(form_->law[f].decay) > P(0)) sum += form_->acting[f * n + j] * free_part(f);
    return sum;
  }
  /// Amplitudes of a group by powers of time, exp(coupling t) written out: power p of mode i at (p, i).
  void find_group_powers(const Group& g) {
    Complex<S>* const z = group_powers_.data() + g.first * (top_swing_power + 1);
    for (std::size_t i = 0; i < g.size; ++i) z[i] = amplitude_[g.first + i];
    for (std::size_t p = 1; p <= g.degree; ++p) {
      form_->couple(g, z + (p - 1) * g.size, z + p * g.size);
      for (std::size_t i = 0; i < g.size; ++i) z[p * g.size + i] = S(P(1) / P(p)) * z[p * g.size + i];
    }
  }
  [[nodiscard]] const Complex<S>& group_power(const Group& g, std::size_t p, std::size_t i) const {
    return group_powers_[g.first * (top_swing_power + 1) + p * g.size + i];
  }
  void add_group(const Group& g, std::size_t j, const S& factor, SwingAmplitude<S>& swing) const {
    for (std::size_t i = 0; i < g.size; ++i) {
      const Complex<S> reply = factor * form_->reply[j * form_->modes + g.first + i];
      for (std::size_t p = 0; p <= g.degree; ++p) {
        const Complex<S> part = reply * group_power(g, p, i);
        swing.along[p] += part.re;
        swing.across[p] += part.im;
      }
    }
  }

  /// a . b, in several sums at once: one alone would wait for itself.
  [[nodiscard]] static S product(const S* a, const S* b, std::size_t size) {
    S sum(0);
    std::size_t k = 0;
    if (extent >= 16 && size >= 16) {
      S part[8]{};
      for (; k + 8 <= size; k += 8)
        for (std::size_t i = 0; i < 8; ++i) part[i] += a[k + i] * b[k + i];
      sum = S(S(S(part[0] + part[4]) + S(part[1] + part[5])) + S(S(part[2] + part[6]) + S(part[3] + part[7])));
    }
    for (; k < size; ++k) sum += a[k] * b[k];
    return sum;
  }
  void widen_by_group(const Group& g, std::size_t i, const Complex<S>& reply, P until, Range<P>& range) const {
    for (std::size_t p = 0; p <= g.degree; ++p)
      range.widen(size_of(reply) * size_of(group_power(g, p, i))
                  * detail::greatest_envelope(p, value_of(g.rate.re), P(0), until));
  }
  /// Exponentials and amplitudes at t.
  void look_at(const S& t) {
    const Form& form = *form_;
    for (std::size_t k = 0; k < form.base.rate_count; ++k) exponentials_[k] = math::exp(S(form.base.rates[k] * t));
    for (std::size_t k = 0; k < form.groups; ++k) {
      const Group& g = form.group[k];
      if (!g.swings) {
        real_now_[g.first] = S(real_amplitude_[g.first] * exponentials_[g.slot]);
        continue;
      }
      const S envelope = math::exp(S(g.rate.re * t)), angle = S(g.rate.im * t);
      const Complex<S> turn{S(envelope * math::cos(angle)), S(envelope * math::sin(angle))};
      for (std::size_t i = 0; i < g.size; ++i) {
        Complex<S> sum;
        for (std::size_t p = g.degree + 1; p-- > 0;) sum = t * sum + group_power(g, p, i);
        now_[g.first + i] = turn * sum;
        real_now_[g.first + i] = now_[g.first + i].re;
      }
    }
  }
  /// Adds the imaginary parts of turning modes and the swinging sources.
  void add_swings(const S& t, S* x) const {
    const Form& form = *form_;
    const std::size_t n = order(), m = form.modes;
    for (std::size_t k = 0; k < form.groups; ++k)
      for (std::size_t i = form.group[k].first; form.group[k].swings && i < form.group[k].first + form.group[k].size;
           ++i)
        for (std::size_t j = 0; j < n; ++j) x[j] -= form.reply.im[j * m + i] * now_[i].im;
    for (std::size_t s = 0; s < form.source_swings; ++s) {
      const S angle = S(form.base.swings[form.first_source_swing + s].turn * t);
      const S cosine = math::cos(angle), sine = math::sin(angle);
      for (std::size_t j = 0; j < n; ++j) x[j] += swing_[s * n + j].re * cosine - swing_[s * n + j].im * sine;
    }
  }

  /// The source of follower f into driving_.
  void drive(std::size_t f) {
    driving_.clear(form_->base);
    driving_.powers[0] = rates_[f].source;
    for (std::size_t j = form_->law[f].first; j < form_->law[f].last; ++j)
      if (const S& share = form_->share(form_->law[f], j); value_of(share) != P(0)) add_unknown(j, share, driving_);
  }
  /// dy/dt = source - decay y from y(0) = start.
  void filter(const FollowerLaw<S>& law, const S& start, const Wave& source, Wave& y) const {
    const typename Form::Base& base = form_->base;
    y.clear(base);
    const bool decays = value_of(law.decay) > P(0);
    for (std::size_t p = top_power + 1; decays && p-- > 0;)
      y.powers[p] = S((source.powers[p] - (p < top_power ? S(S(P(p + 1)) * y.powers[p + 1]) : S(0))) / law.decay);
    for (std::size_t p = 0; !decays && p < top_power; ++p) y.powers[p + 1] = S(source.powers[p] / S(P(p + 1)));
    for (std::size_t k = 0; k < base.rate_count; ++k) {
      const S& amplitude = source.amplitudes[k];
      if (value_of(amplitude) == P(0)) continue;
      if (!decays && value_of(base.rates[k]) == P(0))
        y.powers[1] += amplitude;
      else if (decays && resounds(base.rates[k], law.decay))
        add_resonance(law, S(base.rates[k] + law.decay), amplitude, y);
      else
        y.amplitudes[k] += amplitude / (base.rates[k] + law.decay);
    }
    for (std::size_t k = 0; k < base.swing_count; ++k)
      filter_swing(base.swings[k], law.decay, source.swings[k], y.swings[k]);
    const S free = S(start - at_zero(y));
    if (decays)
      y.amplitudes[law.slot] += free;
    else
      y.powers[0] += free;
  }
  /// (exp(rate t) - exp(-decay t)) / (rate + decay), where that difference is small.
  static void add_resonance(const FollowerLaw<S>& law, const S& difference, const S& amplitude, Wave& y) {
    auto& along = y.swings[law.resonance].along;
    along[1] += amplitude;
    along[2] += amplitude * difference * S(0.5);
    along[3] += amplitude * difference * difference / S(6);
  }
  static void filter_swing(const Swing<S>& swing, const S& decay, const SwingAmplitude<S>& source,
                           SwingAmplitude<S>& y) {
    const Complex<S> rate{S(swing.growth + decay), swing.turn};
    Complex<S> above;
    for (std::size_t p = swing.degree + 1; p-- > 0;) {
      const Complex<S> here{source.along[p], source.across[p]};
      if (value_of(here.re) == P(0) && value_of(here.im) == P(0) && value_of(above.re) == P(0)
          && value_of(above.im) == P(0))
        continue;
      if (value_of(rate.re) == P(0) && value_of(rate.im) == P(0)) {  // the integral of a power of time
        if (p < top_swing_power) y.along[p + 1] += here.re / S(P(p + 1));
        continue;
      }
      above = (here - S(P(p + 1)) * above) / rate;
      y.along[p] += above.re;
      y.across[p] += above.im;
    }
  }
  [[nodiscard]] S at_zero(const Wave& wave) const {
    S sum = wave.powers[0];
    for (std::size_t k = 0; k < form_->base.rate_count; ++k) sum += wave.amplitudes[k];
    for (std::size_t k = 0; k < form_->base.swing_count; ++k) sum += wave.swings[k].along[0];
    return sum;
  }
  [[nodiscard]] S follower(std::size_t f, const S& t) {
    const FollowerLaw<S>& law = form_->law[f];
    const bool decays = value_of(law.decay) > P(0);
    if (const Powers<S>& c = curve_[f]; carried_[f] != 0) return S(c[0] + t * (c[1] + t * (c[2] + t * c[3])));
    if (!law.driven) return decays ? S(goal_[f] + free_[f] * exponentials_[law.slot]) : S(y_[f] + rates_[f].source * t);
    if (only_fades_ && decays) return fading_follower(f, t);
    drive(f);
    filter(law, y_[f], driving_, following_);
    return value_at(form_->base, following_, t);
  }
  /// The same where everything is a constant and exponentials: what one decay makes of each mode serves all followers
  /// that have it.
  [[nodiscard]] S fading_follower(std::size_t f, const S& t) {
    const FollowerLaw<S>& law = form_->law[f];
    const S& kept = exponentials_[law.slot];
    filter_modes(law.decay, kept, t);
    const S mean = S((S(1) - kept) / law.decay);
    S y = S(y_[f] * kept + rates_[f].source * mean);
    for (std::size_t j = law.first; j < law.last; ++j)
      if (const S& share = form_->share(form_->law[f], j); value_of(share) != P(0))
        y += share
             * S(forced_[j][0] * mean
                 + product(form_->reply.re.data() + j * form_->modes, filtered_.data(), form_->modes));
    return y;
  }
  /// Integrals of the modes' exponentials, weighed with exp(-decay) of the time since.
  void filter_modes(const S& decay, const S& kept, const S& t) {
    if (is_plain<S> && is_filtered_ && value_of(filtered_decay_) == value_of(decay)
        && value_of(filtered_time_) == value_of(t))
      return;
    is_filtered_ = true;
    filtered_decay_ = decay;
    filtered_time_ = t;
    for (std::size_t k = 0; k < form_->groups; ++k) {
      const std::size_t i = form_->group[k].first;
      const S difference = S(form_->group[k].rate.re + decay);
      const P z = math::abs(value_of(S(difference * t)));
      S answer;
      if (z > P(0.1)) {
        answer = S((exponentials_[form_->group[k].slot] - kept) / difference);
      } else {  // kept times t (1 + z/2 + z^2/6 + ...), no difference of equals
        S term = t;
        answer = t;
        for (int p = 2; p < 16; ++p) {
          term = S(term * difference * t / S(P(p)));
          answer += term;
        }
        answer = S(answer * kept);
      }
      filtered_[i] = S(real_amplitude_[i] * answer);
    }
  }

  const Form* form_ = nullptr;
  P late_ = P(0);
  bool forced_moves_ = false;
  bool any_curved_ = false;  // followers are not all constants and exponentials
  Storage<Powers<S>, extent> forced_;
  Storage<S, extent> gap_;
  Storage<Complex<S>, extent> amplitude_, now_;
  Storage<S, extent> real_amplitude_, real_now_, filtered_;
  S filtered_decay_ = S(0), filtered_time_ = S(0);
  bool only_fades_ = false, is_filtered_ = false;
  Storage<Complex<S>, extent_product(extent, top_swing_power + 1)> group_powers_;
  Storage<Powers<Complex<S>>, extent> pushed_;
  Storage<Complex<S>, Form::square> swing_;  // source swing x unknown
  Storage<S, extent> at_rest_;               // all unknowns 0, where followers' sources are the constants in them
  Storage<S, extent> start_;                 // forced solution at the start
  Storage<FollowRate<S>, follower_extent> rates_;
  Storage<S, follower_extent> y_, goal_, free_;
  Storage<char, follower_extent> carried_;
  Storage<Powers<S>, follower_extent> curve_;
  Storage<S, Form::rate_extent> exponentials_;
  Wave driving_, following_;
};

}  // namespace gastube::exact
