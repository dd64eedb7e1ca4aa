package bring

import (
	"strings"
	"unicode/utf8"
)

// showsMark reports whether a text is a number that shows mark, a comma or a
// point, to be its decimal mark: the only number in the text, with one or two, or
// more than three, digits after it. The other mark and blanks may group those in
// front.
func showsMark(text string, mark byte) bool {
	from := strings.IndexFunc(text, isDigit)
	if from < 0 {
		return false
	}
	to := strings.LastIndexFunc(text, isDigit) + 1
	whole, decimals, ok := strings.Cut(text[from:to], string(mark))
	return ok && len(decimals) != 3 && countDigits(decimals) == len(decimals) && strings.Trim(whole, "0123456789 "+other(mark)) == ""
}

// other is the decimal mark that mark is not.
func other(mark byte) string {
	if mark == ',' {
		return "."
	}
	return ","
}

// ungroup takes a mark out of the numbers of a text that are grouped in
// thousands: up to three digits, the first no zero, and marks of either kind with
// three digits behind each.
func ungroup(text, mark string) string {
	var out strings.Builder
	for at := 0; at < len(text); {
		n := groupedAt(text[at:])
		if n == 0 {
			out.WriteByte(text[at])
			at++
			continue
		}
		out.WriteString(strings.ReplaceAll(text[at:at+n], mark, ""))
		at += n
	}
	return out.String()
}

// groupedAt returns the length of the grouped number that a text begins with; 0
// if it begins with none.
func groupedAt(text string) int {
	if text == "" || text[0] == '0' {
		return 0
	}
	first := min(countDigits(text), 3)
	if first == 0 {
		return 0
	}
	end := first
	for end < len(text) && (text[end] == '.' || text[end] == ',') && countDigits(text[end+1:]) >= 3 {
		end += 4
	}
	if end == first {
		return 0
	}
	return end
}

// countDigits counts the digits that a text begins with.
func countDigits(text string) int {
	for i := range len(text) {
		if !isDigit(rune(text[i])) {
			return i
		}
	}
	return len(text)
}

func isDigit(r rune) bool { return '0' <= r && r <= '9' }

const blanks = "\t\n\f\r "

// ticked takes the box or mark before a thing to do off a text, such as "- [x]"
// or "☑": inside is what stands in a box of brackets, mark the sign that is not
// one. It reports false for a text without.
func ticked(text string) (inside, mark, thing string, ok bool) {
	for _, dash := range []string{"-", "*", "•"} {
		if after, found := strings.CutPrefix(text, dash); found {
			text = strings.TrimLeft(after, blanks)
			break
		}
	}
	if after, found := strings.CutPrefix(text, "["); found {
		after = strings.TrimLeft(after, blanks)
		if !strings.HasPrefix(after, "]") {
			_, n := utf8.DecodeRuneInString(after)
			inside, after = after[:n], strings.TrimLeft(after[n:], blanks)
		}
		thing, ok = strings.CutPrefix(after, "]")
	} else {
		_, n := utf8.DecodeRuneInString(text)
		mark, thing = text[:n], text[n:]
		ok = n > 1 && strings.Contains("☐□☑☒✓✔■", mark)
	}
	thing = strings.TrimLeft(thing, blanks)
	if !ok || strings.Contains(thing, "\n") {
		return "", "", "", false
	}
	return inside, mark, thing, true
}
