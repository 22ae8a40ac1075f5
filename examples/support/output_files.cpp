// SPDX-License-Identifier: MIT
#include "output_files.hpp"

#include "report.hpp"

namespace gastube::examples {
namespace {

bool is_wanted(const std::string& name) { return !name.empty() && name != "none"; }

void print_result(const DrawResult& result, const std::string& path) {
  if (result.drawn) { print("picture: " + path + "\n"); }
  if (!result.message.empty()) { print(paragraph(result.message)); }
}

template <class Sheet>
bool write_table(const Sheet& sheet, const OutputFiles& files) {
  if (!is_wanted(files.table)) { return true; }
  const WriteResult result = write_csv(sheet, files.table);
  print(result.written ? "table: " + files.table + "\n" : paragraph(result.message));
  return result.written;
}

}  // namespace

bool is_wanted(const OutputFiles& files) { return is_wanted(files.picture) || is_wanted(files.table); }

void add_output_options(CommandLine& command_line, OutputFiles& files) {
  command_line.group("output");
  command_line.option("picture", files.picture, "file for the picture, ending in .png or .svg, or none");
  command_line.option("csv", files.table, "file for the numbers, comma-separated, or none");
}

bool deliver(const WaveformSheet& sheet, const OutputFiles& files, std::optional<Window> zoom) {
  if (is_wanted(files.picture)) { print_result(draw(sheet, files.picture, zoom), files.picture); }
  return write_table(sheet, files);
}

bool deliver(const CharacteristicSheet& sheet, const OutputFiles& files) {
  if (is_wanted(files.picture)) { print_result(draw(sheet, files.picture), files.picture); }
  return write_table(sheet, files);
}

}  // namespace gastube::examples
