#pragma once

#include <cstddef>
#include <new>
#include <vector>

namespace volvelle {

/// Allocates at 64-byte boundaries, as the transform plans expect.
template <typename T>
struct AlignedAllocator {
    using value_type = T;
    AlignedAllocator() = default;
    template <typename U>
    AlignedAllocator(const AlignedAllocator<U>&) {}
    T* allocate(std::size_t n) {
        return static_cast<T*>(::operator new (n * sizeof(T), std::align_val_t{64}));
    }
    void deallocate(T* p, std::size_t) { ::operator delete (p, std::align_val_t{64}); }
    template <typename U>
    bool operator==(const AlignedAllocator<U>&) const {
        return true;
    }
};

/// A vector whose first element lies at a 64-byte boundary.
template <typename T>
using AlignedVector = std::vector<T, AlignedAllocator<T>>;

}  // namespace volvelle
