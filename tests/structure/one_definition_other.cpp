// SPDX-License-Identifier: MIT
#include "every_header.hpp"

int files_linked();

int files_linked() { return 2; }
