package plan

import (
	"slices"
	"strings"
)

// What a text may look like is written out here: the phone checks its plans too,
// and package regexp with its tables is a twentieth of what it would have to load.

const (
	digits = "0123456789"
	lower  = "abcdefghijklmnopqrstuvwxyz"
	upper  = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	space  = " \t\n\f\r"
)

// madeOf reports whether s is not empty and holds no other bytes than these.
func madeOf(s, these string) bool {
	for i := range len(s) {
		if strings.IndexByte(these, s[i]) < 0 {
			return false
		}
	}
	return s != ""
}

func isID(s string) bool { return madeOf(s, lower+digits+"-") }

// isCheckID also takes the capitals of a unit: "group-Ah-spread".
func isCheckID(s string) bool { return madeOf(s, lower+upper+digits+"-") }

func isName(s string) bool {
	return madeOf(s, lower+upper+digits+"_") && strings.IndexByte(digits, s[0]) < 0
}

func isBasis(s string) bool {
	number, read := strings.CutPrefix(s, "read:S")
	return read && madeOf(number, digits) || slices.Contains([]string{"recall", "own", "manual"}, s)
}

// findWord returns the first place in text, as it is written there, where one of
// some words in lower case stands by itself, in whatever case; "" if none does.
func findWord(text string, words ...string) string { return find(text, foldsTo, words) }

// find is findWord for words that are the same as a text in a way of their own.
func find(text string, same func(text, word string) bool, words []string) string {
	for at := range len(text) {
		if at > 0 && inWord(text[at-1]) {
			continue
		}
		for _, w := range words {
			end := at + len(w)
			if end <= len(text) && same(text[at:end], w) && (end == len(text) || !inWord(text[end])) {
				return text[at:end]
			}
		}
	}
	return ""
}

func inWord(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c == '_'
}

// foldsTo reports whether a text as long as word, which is in lower case, is the
// same but for capitals of ASCII.
func foldsTo(text, word string) bool {
	for i := range len(text) {
		c := text[i]
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != word[i] {
			return false
		}
	}
	return true
}
