// SPDX-License-Identifier: MIT
#pragma once
/// What the tests of the three fits share: the text of a refusal, and whether stated uncertainties are true.

#include <gastube/adapt/fit.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace fits_for_tests {

/// A file that is gone when the test is over.
class Written {
 public:
  explicit Written(const char* content)
      : path_(
          (std::filesystem::temp_directory_path() / ("gastube_test_" + std::to_string(std::random_device{}()) + ".csv"))
              .string()) {
    std::ofstream(path_, std::ios::binary) << content;
  }
  Written(const Written&) = delete;
  Written& operator=(const Written&) = delete;
  ~Written() { std::remove(path_.c_str()); }
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

/// The text of the InvalidRequest, or "accepted".
template <class Function>
[[nodiscard]] std::string refusal_of(Function&& f) {
  try {
    f();
  } catch (const gastube::InvalidRequest& error) { return error.what(); }
  return "accepted";
}

/// Estimates of parameters that are known, over many draws.
class Coverage {
 public:
  explicit Coverage(std::vector<double> truth)
      : truth_(std::move(truth)), within_(truth_.size(), 0), squares_(truth_.size(), 0), stated_(truth_.size(), 0) {}

  /// One draw. @param fit gives the parameters; a point that chance puts far out may be refused, as in life
  template <class Fit>
  void add(Fit&& fit) {
    std::vector<gastube::adapt::FittedParameter> parameters;
    try {
      parameters = fit();
    } catch (const gastube::InvalidRequest&) {
      ++refused_;
      return;
    }
    ++draws_;
    for (std::size_t k = 0; k < truth_.size(); ++k) {
      const double off = parameters[k].value - truth_[k], error = parameters[k].uncertainty;
      within_[k] += std::abs(off) < 3 * error ? 1 : 0;
      squares_[k] += off * off, stated_[k] += error * error;
    }
  }
  /// Within three standard errors in 95 % of the draws; the estimates scatter as stated, to 15 %.
  void check() const {
    CAPTURE(refused_);
    CHECK(refused_ <= 5);  // fewer than one in a thousand: at most 0.6 of 600
    for (std::size_t k = 0; k < truth_.size(); ++k) {
      const double ratio = std::sqrt(squares_[k] / stated_[k]), share = double(within_[k]) / draws_;
      CAPTURE(k);
      CAPTURE(share);
      CAPTURE(ratio);
      CHECK(share >= 0.95);
      CHECK(std::abs(ratio - 1) < 0.15);
    }
  }

 private:
  std::vector<double> truth_;
  std::vector<int> within_;
  std::vector<double> squares_, stated_;
  int draws_ = 0, refused_ = 0;
};

}  // namespace fits_for_tests
