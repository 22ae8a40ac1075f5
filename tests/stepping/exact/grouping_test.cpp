// SPDX-License-Identifier: MIT
// Which eigenvalues stay together.
#include <gastube/stepping/exact/grouping.hpp>

#include <doctest/doctest.h>

#include <vector>

using namespace gastube::exact;

namespace {

/// Sizes of the groups of an upper triangular matrix (row-major), in the order found.
std::vector<std::size_t> group_sizes(std::vector<double> t, double together = 0) {
  const std::size_t n = t.size() == 4 ? 2 : 3;
  std::vector<double> unit(n * n, 0.0), scale(n);
  std::vector<std::size_t> block(n, 0), sizes;
  for (std::size_t i = 0; i < n; ++i) unit[i * n + i] = 1;
  std::vector<Complex<double>> storage(4 * n * n), row(n);
  Separation<double> parts(n, storage.data(), storage.data() + n * n, storage.data() + 2 * n * n,
                           storage.data() + 3 * n * n, row.data(), scale.data());
  parts.start(t.data(), unit.data(), block.data());
  for (Grouping<double> groups(parts, n, together); groups.next();) {
    CHECK(groups.closed() == (parts.rate(groups.first()).im == 0.0 || groups.size() > 1));
    sizes.push_back(groups.size());
  }
  return sizes;
}
using Sizes = std::vector<std::size_t>;

}  // namespace

TEST_CASE("groups by distance and coupling") {
  CHECK(group_sizes({-1, 5, 0, -2}) == Sizes{1, 1});
  CHECK(group_sizes({-1, 1, 0, -1}) == Sizes{2});        // defective
  CHECK(group_sizes({-1, 0, 0, -1}) == Sizes{1, 1});     // equal, but not coupled
  CHECK(group_sizes({-1, 0, 0, -1}, 1e-6) == Sizes{2});  // wanted together
  CHECK(group_sizes({-1, 1, 0, -1.0001}) == Sizes{2});   // nearly defective
  CHECK(group_sizes({-1, 1, 0, -1.1}) == Sizes{1, 1});
  CHECK(group_sizes({-1, 1e5, 0, -2}) == Sizes{1, 1});  // ill conditioned, but not for being near
  CHECK(group_sizes({-1, 1, -1, -1}) == Sizes{1});      // a conjugate pair is shown once
  CHECK(group_sizes({-1, 1, -1e-10, -1}) == Sizes{2});  // one that hardly turns is a group with its conjugate
  CHECK(group_sizes({-1, 7, 1, 0, -3, 7, 0, 0, -1}) == Sizes{2, 1});
}
