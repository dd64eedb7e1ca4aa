package words

import (
	"fmt"
	"strings"

	"ampwright/model"
)

// Kept says where an entry is: the names of the other devices known to hold it.
func Kept(names []string) string {
	switch len(names) {
	case 0:
		return "on this device only"
	case 1:
		return "on " + names[0]
	}
	return fmt.Sprintf("kept on %d devices", len(names)+1)
}

// Remarks says what is out of the ordinary about a device, each in one line.
func Remarks(c Context, d model.Device) []string {
	var list []string
	if text := c.continues(d.Was); text != "" {
		list = append(list, text)
	}
	if at := d.Closed; at != nil {
		last := "none of its entries counts"
		if at.Last.Seq > 0 {
			last = fmt.Sprintf("its entries count up to number %d", at.Last.Seq)
		}
		list = append(list, Join("; ", Join(" ", "struck off by", at.Person, "on", c.date(at.ReplicaClose.At.Time().Format("2006-01-02"))), before("reason: ", at.Reason), last))
	}
	if d.Held > 0 {
		list = append(list, heldBack(d.Held))
	}
	if f := d.Fork; f != nil {
		ends := make([]string, len(f.Heads))
		for i, h := range f.Heads {
			ends[i] = fmt.Sprintf("%s (no. %d)", h.ID.Short(), h.Seq)
		}
		list = append(list, fmt.Sprintf("was duplicated: a copy or a restored backup wrote on; two entries bear the number %d, its lines end in %s; all lines are kept; pair it again", f.Number, strings.Join(ends, " and ")))
	}
	return list
}

func heldBack(n int) string {
	if n == 1 {
		return "1 entry is held back and counts for nothing"
	}
	return fmt.Sprintf("%d entries are held back and count for nothing", n)
}
