// What the tests of numbers share.
#pragma once

#include "num/rational.h"

namespace num_test {

inline scruple::Rational ratio(long long a, long long b) {
    return {scruple::Rational::Int{a}, scruple::Rational::Int{b}};
}

}  // namespace num_test
