// SPDX-License-Identifier: MIT
#pragma once
/// A data sheet in plain text from any of the catalogue's data: every value with its confidence and source.

#include "gastube/adapt/quantity_text.hpp"
#include "gastube/catalogue/tube_data.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace gastube::adapt {

namespace detail {
struct SectionStart {
  std::string_view field;  ///< name of the section's first field
  const char* title;
};
/// A field not named here belongs to the section that the one before it is in.
inline constexpr std::array section_starts{
    SectionStart{"heater voltage", "Heater"},
    SectionStart{"peak forward voltage", "Ratings"},
    SectionStart{"peak cathode current", "Ratings"},
    SectionStart{"arc drop", "Arc"},
    SectionStart{"control ratio", "Ignition"},
    SectionStart{"least ionisation time", "Ionisation and deionisation"},
    SectionStart{"electron perveance", "Currents before ignition and in the afterglow"},
    SectionStart{"reverse breakdown voltage", "Reverse"},
    SectionStart{"grid-plate capacitance", "Capacitances"},
    SectionStart{"reference temperature of the condensed mercury", "Mercury"},
    SectionStart{"least trigger, unloaded", "Pulse service"},
    SectionStart{"least breakdown voltage", "Breakdown and trigger"},
    SectionStart{"strike voltage", "Strike"},
    SectionStart{"maintaining voltage", "Glow"},
    SectionStart{"starting current", "Ratings"},
    SectionStart{"formative lag at twice the strike voltage", "Delay, recovery and leakage"},
};

/// The sheet as it grows; knows nothing of the data's type.
class DataSheet {
 public:
  void title(std::string_view type, std::string_view others, const Gas* fill) {
    body_.append(type).append("\n").append(type.size(), '=').append("\n");
    if (!others.empty()) body_.append("equivalents  ").append(others).append("\n");
    if (fill)
      body_.append("fill         ")
          .append(fill->name)
          .append(", ionisation potential ")
          .append(quantity_text(fill->ionisation.value, "V", 4) + "\n");
  }
  void field(std::string_view name, std::string_view unit, const catalogue::Datum& datum) {
    open_section(name);
    const bool published = is_limited(datum.value);
    ++count_;
    body_.append(published && datum.confidence == Confidence::unverified ? " ? " : "   ");
    const std::string value = published ? quantity_text(datum.value, unit, 4) : "not published";
    if (!published) {
      ++unpublished_;
      body_.append(padded(name, name_width)).append(value).append("\n");
      return;
    }
    ++by_confidence_[std::size_t(datum.confidence)];
    body_.append(padded(name, name_width)).append(padded(value, value_width));
    body_.append(padded(gastube::name(datum.confidence), confidence_width)).append(note(datum.source)).append("\n");
  }
  [[nodiscard]] std::string finished() const {
    std::string result = body_;
    result.append("\nSources\n");
    for (std::size_t k = 0; k < sources_.size(); ++k)
      result.append(padded(text("  [%zu]", k + 1), 7)).append(sources_[k]).append("\n");
    return result.append("\n").append(closing());
  }

 private:
  static constexpr std::size_t name_width = 48, value_width = 20, confidence_width = 23;

  static std::string padded(std::string_view cell, std::size_t width) {
    std::string result(cell);
    result.append(cell.size() < width ? width - cell.size() : 1, ' ');
    return result;
  }
  void open_section(std::string_view name) {
    const auto at = std::find_if(section_starts.begin(), section_starts.end(),
                                 [&](const SectionStart& s) { return s.field == name; });
    const std::string_view title = at != section_starts.end() ? at->title : count_ == 0 ? "Data" : section_;
    if (title == section_) return;
    body_.append("\n").append(title).append("\n");
    section_ = title;
  }
  // The number of a source, which is new or has been named before.
  std::string note(const char* source) {
    auto at = std::find(sources_.begin(), sources_.end(), std::string_view(source));
    if (at == sources_.end()) at = sources_.insert(at, source);
    return text("[%d]", int(at - sources_.begin()) + 1);
  }
  [[nodiscard]] int of(Confidence confidence) const { return by_confidence_[std::size_t(confidence)]; }
  [[nodiscard]] std::string closing() const {
    return text("%d of %d values published or handbook, %d unverified (marked ?).\n"
                "Besides %d plausible, %d derived, %d not published.\n",
                of(Confidence::published) + of(Confidence::handbook), count_, of(Confidence::unverified),
                of(Confidence::plausible), of(Confidence::derived), unpublished_);
  }

  std::string body_{};
  std::string_view section_{};
  std::vector<std::string_view> sources_{};
  std::array<int, 5> by_confidence_{};
  int count_ = 0, unpublished_ = 0;
};

/// The fill, wherever the data keep it; null for data that name none.
template <class Data>
[[nodiscard]] const Gas* fill_of(const Data& data) {
  if constexpr (requires { static_cast<const Gas*>(data.fill); })
    return data.fill;
  else if constexpr (requires { data.tube.fill; })
    return data.tube.fill;
  else
    return nullptr;
}
}  // namespace detail

/// The data sheet of a tube: lines of at most 100 letters but for long sources. Values that are unverified are marked
/// with a question mark, so that no figure passes for more than it is.
/// @param data  anything with `type`, `also_known_as` and for_each_field(data, f)
template <class Data>
[[nodiscard]] std::string describe(const Data& data) {
  std::string others;
  for (const char* other : data.also_known_as)
    if (other) others.append(others.empty() ? "" : ", ").append(other);
  detail::DataSheet sheet;
  sheet.title(data.type, others, detail::fill_of(data));
  for_each_field(data, [&](std::string_view name, std::string_view unit, const catalogue::Datum& datum) {
    sheet.field(name, unit, datum);
  });
  return sheet.finished();
}

}  // namespace gastube::adapt
