// SPDX-License-Identifier: MIT
#include "every_header.hpp"

int files_linked();

int main() { return files_linked() == 2 ? 0 : 1; }
