// A view of something to call: costs no allocation, and lives no longer than the call that it is passed to.
#pragma once

#include <cstddef>
#include <memory>
#include <type_traits>
#include <utility>

namespace scruple {

template <class Signature>
class FunctionRef;

template <class Result, class... Arguments>
class FunctionRef<Result(Arguments...)> {
public:
    FunctionRef(std::nullptr_t) {}  // NOLINT(google-explicit-constructor)
    template <class Callable>
        requires(!std::is_same_v<std::remove_cvref_t<Callable>, FunctionRef> &&
                 std::is_invocable_r_v<Result, Callable&, Arguments...>)
    FunctionRef(Callable&& callable)  // NOLINT(google-explicit-constructor)
        : object_(const_cast<void*>(static_cast<const void*>(std::addressof(callable)))),
          call_([](void* object, Arguments... arguments) -> Result {
              return (*static_cast<std::remove_reference_t<Callable>*>(object))(std::forward<Arguments>(arguments)...);
          }) {}

    explicit operator bool() const { return call_ != nullptr; }
    Result operator()(Arguments... arguments) const { return call_(object_, std::forward<Arguments>(arguments)...); }

private:
    void* object_ = nullptr;
    Result (*call_)(void*, Arguments...) = nullptr;
};

}  // namespace scruple
