package bring

import (
	"strings"

	"ampwright/calc/money"
)

// A column that no header names is taken by what stands in it, where at least
// four in five of its cells agree.
const agree = 0.8

// share returns the part of a column's cells, from the first row after the
// header on, that fit; 0 for an empty column.
func (r *reader) share(col int, fits func(string) bool) float64 {
	all, good := 0, 0
	for _, row := range r.rows[min(r.first, len(r.rows)):] {
		if text := cell(row, col); text != "" {
			all++
			if fits(text) {
				good++
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(good) / float64(all)
}

func isDay(s string) bool { _, ok := readDay(s); return ok }

func (r *reader) isHours(s string) bool {
	n, err := readHours(s, r.desk.Mark)
	return err == nil && n <= 18*60
}

func (r *reader) isMoney(s string) bool {
	_, err := money.Parse(s, r.build.Currency, r.desk.Mark)
	return err == nil
}

// guessColumns fills in the date and the number that the header does not name.
func (r *reader) guessColumns(why map[string]string) {
	taken := map[int]bool{}
	for _, c := range r.cols {
		taken[c] = true
	}
	fill := func(field, reason string, fits func(string) bool) {
		if _, ok := r.cols[field]; ok || !has(r.kind, field) {
			return
		}
		for c := range r.wide() {
			if !taken[c] && r.share(c, fits) >= agree {
				r.cols[field], why[field], taken[c] = c, reason, true
				return
			}
		}
	}
	text := func(s string) bool {
		return !isDay(s) && !r.isMoney(s) && !r.isHours(s) && strings.ContainsAny(s, "aeiouAEIOU")
	}
	if r.kind.name == Todo {
		if _, ok := r.cols["what"]; !ok {
			fill("what", "boxes stand in it", func(s string) bool { return true })
		}
		return
	}
	fill("date", "every value reads as a day", isDay)
	_, start := r.cols["start"]
	_, minutes := r.cols["minutes"]
	if r.kind.name == Hours && !start && !minutes {
		fill("hours", "every value reads as a time worked", r.isHours)
	}
	if r.kind.name == Money {
		fill("price", "every value reads as an amount", r.isMoney)
	}
	if r.Head == 0 {
		fill("area", "every value names a task or stage", func(s string) bool { is, _ := r.areaIs(s); return is != "" && !strings.Contains(s, " ") })
		fill("what", "it holds words", text)
		fill("item", "it holds words", text)
	}
}

func has(k *sheetKind, field string) bool {
	for _, f := range k.fields {
		if f.name == field {
			return true
		}
	}
	return false
}

func (r *reader) wide() int {
	wide := 0
	for _, row := range r.rows {
		wide = max(wide, len(row))
	}
	return wide
}

// kindByValues takes a sheet without a header for hours where it has a column of
// days and one of times worked that say so (2h30, 150 min), for money where it
// has one of amounts with a currency; nil where it cannot be told.
func (r *reader) kindByValues() *sheetKind {
	days, worked, paid := false, false, false
	for c := range r.wide() {
		if r.share(c, isTicked) >= agree/2 { // with headings between them
			return kindNamed(Todo)
		}
	}
	for c := range r.wide() {
		days = days || r.share(c, isDay) >= agree
		worked = worked || r.share(c, func(s string) bool { return r.isHours(s) && strings.ContainsAny(s, "hm:") }) >= agree
		paid = paid || r.share(c, func(s string) bool { return r.isMoney(s) && strings.IndexFunc(s, notNumber) >= 0 }) >= agree
	}
	switch {
	case days && worked:
		return kindNamed(Hours)
	case days && paid:
		return kindNamed(Money)
	}
	return nil
}

func notNumber(r rune) bool { return !strings.ContainsRune("0123456789.,- ", r) }
