#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// Collects the keys of one JSON object and writes them on one line, sorted; numbers in the shortest form
/// that reads back alike.
class JsonObjectText {
public:
    void set(const std::string& key, double value);  ///< finite, else Error{bug}
    void set(const std::string& key, int value);
    void set(const std::string& key, bool value);
    void set(const std::string& key, std::string_view value);
    void set(const std::string& key, const char* value) { set(key, std::string_view(value)); }
    void set(const std::string& key, const std::string& value) { set(key, std::string_view(value)); }
    void set(const std::string& key, const std::vector<double>& values);
    void set(const std::string& key, const std::vector<int>& values);
    void set(const std::string& key, const std::vector<std::string>& values);
    void set(const std::string& key, const JsonObjectText& value);
    void set(const std::string& key, const std::vector<JsonObjectText>& values);
    /// An object that is JSON text already, taken as it is.
    void setObject(const std::string& key, const std::string& json) { members_[key] = json; }
    /// Nothing for what is not stated: not a number, empty.
    void setStated(const std::string& key, double value);
    void setStated(const std::string& key, std::string_view value);
    void setStated(const std::string& key, const std::string& value) {
        setStated(key, std::string_view(value));
    }
    void setStated(const std::string& key, const JsonObjectText& value);

    bool empty() const { return members_.empty(); }
    std::string text() const;  ///< {"a": 1, "b": "x"}

private:
    std::map<std::string, std::string> members_;
};

/// The text in quotes, escaped; bytes that are no UTF-8 become U+FFFD.
std::string jsonQuoted(std::string_view text);

}  // namespace volvelle
