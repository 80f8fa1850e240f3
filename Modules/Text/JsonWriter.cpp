#include "Text/JsonWriter.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <nlohmann/json.hpp>

#include <cmath>

namespace volvelle {
namespace {

std::string numberText(double value) {
    if (!std::isfinite(value))
        throw Error(ErrorKind::bug, "a number that is not finite was to be written as JSON", "", "");
    return shortestText(value);
}

template <typename Values, typename ToText>
std::string arrayText(const Values& values, ToText toText) {
    std::string out = "[";
    for (const auto& value : values) {
        if (out.size() > 1) out += ", ";
        out += toText(value);
    }
    return out + "]";
}

}  // namespace

void JsonObjectText::set(const std::string& key, double value) {
    members_[key] = numberText(value);
}

void JsonObjectText::set(const std::string& key, int value) {
    members_[key] = numberText(value);
}

void JsonObjectText::set(const std::string& key, bool value) {
    members_[key] = value ? "true" : "false";
}

void JsonObjectText::set(const std::string& key, std::string_view value) {
    members_[key] = jsonQuoted(value);
}

void JsonObjectText::set(const std::string& key, const std::vector<double>& values) {
    members_[key] = arrayText(values, numberText);
}

void JsonObjectText::set(const std::string& key, const std::vector<int>& values) {
    members_[key] = arrayText(values, [](int value) { return numberText(value); });
}

void JsonObjectText::set(const std::string& key, const std::vector<std::string>& values) {
    members_[key] = arrayText(values, jsonQuoted);
}

void JsonObjectText::set(const std::string& key, const JsonObjectText& value) {
    members_[key] = value.text();
}

void JsonObjectText::set(const std::string& key, const std::vector<JsonObjectText>& values) {
    members_[key] = arrayText(values, [](const JsonObjectText& value) { return value.text(); });
}

void JsonObjectText::setStated(const std::string& key, double value) {
    if (!std::isnan(value)) set(key, value);
}

void JsonObjectText::setStated(const std::string& key, std::string_view value) {
    if (!value.empty()) set(key, value);
}

void JsonObjectText::setStated(const std::string& key, const JsonObjectText& value) {
    if (!value.empty()) set(key, value);
}

std::string JsonObjectText::text() const {
    std::string out = "{";
    for (const auto& [key, value] : members_) {
        if (out.size() > 1) out += ", ";
        out += jsonQuoted(key) + ": " + value;
    }
    return out + "}";
}

std::string jsonQuoted(std::string_view text) {
    return nlohmann::json(std::string(text)).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace volvelle
