// SPDX-License-Identifier: MIT
#include "gnuplot.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>

extern char** environ;

namespace gastube::examples {
namespace {

namespace fs = std::filesystem;

/// A folder of our own for as long as one picture takes.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::error_code error;
    std::string name = (fs::temp_directory_path(error) / "gastube-picture-XXXXXX").string();
    if (!error && ::mkdtemp(name.data()) != nullptr) { path_ = name; }
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code ignored;
    if (exists()) { fs::remove_all(path_, ignored); }
  }
  [[nodiscard]] bool exists() const { return !path_.empty(); }
  [[nodiscard]] std::string file(std::string_view name) const { return (path_ / name).string(); }

 private:
  fs::path path_{};
};

std::string preamble(const std::string& output, PictureFormat format, int width, int height) {
  const std::string shape = fmt::format("size {},{} noenhanced background rgb '#ffffff'", width, height);
  const std::string set_terminal =
      format == PictureFormat::svg
          ? fmt::format("set terminal svg {} font 'DejaVu Sans,15'\n", shape)
          : fmt::format(
              "if (strstrt(GPVAL_TERMINALS, 'pngcairo')) {{ set terminal pngcairo {0} font 'DejaVu Sans,11' }} "
              "else {{ set terminal png {0} font 'DejaVu Sans,11' }}\n",
              shape);
  return fmt::format("set encoding utf8\n{}set output {}\n", set_terminal, gnuplot_string(output));
}

bool write_file(const std::string& path, std::string_view text) {
  std::ofstream file(path, std::ios::binary);
  file.write(text.data(), static_cast<std::streamsize>(text.size()));
  file.close();
  return file.good();
}

/// The last lines of what gnuplot complained of; there the reason stands.
std::string complaint(const std::string& path) {
  std::ifstream file(path);
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  constexpr std::size_t enough = 400;
  std::string end = text.size() > enough ? text.substr(text.size() - enough) : text;
  std::replace(end.begin(), end.end(), '\n', ' ');
  return end;
}

int wait_for(pid_t process) {
  int status = 0;
  while (::waitpid(process, &status, 0) < 0) {
    if (errno != EINTR) { return -1; }
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

struct Finished {
  int start_error = 0;  // an errno value when the program could not be started
  int exit_code = 0;
};

/// Starts gnuplot without a shell and without the user's start-up file; what it prints goes to `log`.
Finished gnuplot_on(std::string script, const std::string& log) {
  std::string program = "gnuplot";
  std::string plain_settings = "-d";
  std::array<char*, 4> arguments{program.data(), plain_settings.data(), script.data(), nullptr};
  posix_spawn_file_actions_t actions;
  ::posix_spawn_file_actions_init(&actions);
  ::posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  ::posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  ::posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, log.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  pid_t process = 0;
  const int error = ::posix_spawnp(&process, program.c_str(), &actions, nullptr, arguments.data(), environ);
  ::posix_spawn_file_actions_destroy(&actions);
  return error != 0 ? Finished{error, 0} : Finished{0, wait_for(process)};
}

DrawResult not_drawn(const std::string& path, std::string_view why) {
  return {false, fmt::format("picture {} not drawn: {}", path, why)};
}

DrawResult put_in_place(const std::string& made, const std::string& path) {
  std::error_code error;
  if (fs::file_size(made, error) == 0 || error) { return not_drawn(path, "gnuplot made no picture"); }
  fs::copy_file(made, path, fs::copy_options::overwrite_existing, error);
  return error ? not_drawn(path, error.message()) : DrawResult{true, {}};
}

}  // namespace

std::string gnuplot_string(std::string_view text) {
  std::string inside;
  for (const char letter : text) {
    const bool control = static_cast<unsigned char>(letter) < 0x20 || letter == 0x7f;
    inside += control ? ' ' : letter;
    inside += letter == '\'' ? "'" : "";
  }
  return "'" + inside + "'";
}

PictureFormat format_of(std::string_view path) {
  return path.ends_with(".svg") ? PictureFormat::svg : PictureFormat::png;
}

DrawResult run_gnuplot(std::string_view script, const std::string& path, int width, int height) {
  if (!path.ends_with(".png") && !path.ends_with(".svg")) {
    return not_drawn(path, "the name of a picture ends in .png or .svg");
  }
  const TemporaryFolder folder;
  if (!folder.exists()) { return not_drawn(path, "no temporary folder could be made"); }
  const std::string picture = folder.file("picture");
  const std::string commands = folder.file("script");
  if (!write_file(commands,
                  preamble(picture, format_of(path), width, height) + std::string(script) + "\nset output\n")) {
    return not_drawn(path, "the temporary folder could not be written");
  }
  const Finished finished = gnuplot_on(commands, folder.file("log"));
  if (finished.start_error != 0) {
    return not_drawn(path, fmt::format("gnuplot could not be started ({}); is gnuplot-nox installed?",
                                       std::strerror(finished.start_error)));
  }
  if (finished.exit_code != 0) {
    return not_drawn(path, fmt::format("gnuplot failed: {}", complaint(folder.file("log"))));
  }
  return put_in_place(picture, path);
}

}  // namespace gastube::examples
