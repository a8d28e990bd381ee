// Takes out of two versions of a unit what both say alike, before facts are made of them: in a large collection most of
// what differs differs in little. Part of changes/; included by its .cpp files only.
#pragma once

#include "changes/state.h"

namespace scruple::changes {

/// What is left gives the same differences, and the facts that words are made of. False: nothing differs at all.
bool strike_same(emit::Values& before, emit::Values& after, UnitKind kind);

}  // namespace scruple::changes
