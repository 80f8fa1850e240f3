#include "Run/Sha256.h"

#include "Text/Error.h"

#include <openssl/evp.h>

namespace volvelle {

namespace {

// Fetched once: a fetch for each digest costs more than the digest of a short row.
const EVP_MD* algorithm() {
    static EVP_MD* const fetched = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    return fetched != nullptr ? fetched : EVP_sha256();
}

void require(bool done) {
    if (!done) throw Error(ErrorKind::bug, "SHA-256 cannot be computed", "libcrypto", "Reinstall OpenSSL");
}

}  // namespace

Sha256::Sha256() : context_(EVP_MD_CTX_new()) {
    require(context_ != nullptr);
    if (EVP_DigestInit_ex(static_cast<EVP_MD_CTX*>(context_), algorithm(), nullptr) == 1) return;
    EVP_MD_CTX_free(static_cast<EVP_MD_CTX*>(context_));
    require(false);
}

Sha256::~Sha256() {
    EVP_MD_CTX_free(static_cast<EVP_MD_CTX*>(context_));
}

void Sha256::add(std::span<const std::byte> bytes) {
    require(EVP_DigestUpdate(static_cast<EVP_MD_CTX*>(context_), bytes.data(), bytes.size()) == 1);
}

Digest Sha256::finish() {
    Digest digest;
    auto* context = static_cast<EVP_MD_CTX*>(context_);
    require(EVP_DigestFinal_ex(context, reinterpret_cast<unsigned char*>(digest.data()), nullptr) == 1);
    require(EVP_DigestInit_ex(context, algorithm(), nullptr) == 1);
    return digest;
}

Digest sha256(std::span<const std::byte> bytes) {
    thread_local Sha256 hash;
    hash.add(bytes);
    return hash.finish();
}

std::string hexadecimal(const Digest& digest) {
    constexpr char digits[] = "0123456789abcdef";
    std::string text;
    text.reserve(2 * digest.size());
    for (const std::byte b : digest) {
        text += digits[std::to_integer<unsigned>(b) >> 4];
        text += digits[std::to_integer<unsigned>(b) & 15U];
    }
    return text;
}

}  // namespace volvelle
