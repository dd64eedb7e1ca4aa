package words

import (
	"fmt"
	"strings"
	"time"

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

// Alone says how many entries no other device is known to hold, and how long ago
// the oldest was written.
func Alone(entries int, oldest time.Duration) string {
	switch entries {
	case 0:
		return "no entry is on this device only"
	case 1:
		return "1 entry is on this device only, written " + Age(oldest) + " ago"
	}
	return fmt.Sprintf("%d entries are on this device only, the oldest written %s ago", entries, Age(oldest))
}

// Lone says how many photos and kept files there are; "" for none of either.
func Lone(photos, files int) string {
	var list []string
	for _, c := range []struct {
		n    int
		what string
	}{{photos, "photo"}, {files, "file"}} {
		switch c.n {
		case 0:
		case 1:
			list = append(list, "1 "+c.what)
		default:
			list = append(list, fmt.Sprintf("%d %ss", c.n, c.what))
		}
	}
	return strings.Join(list, " and ")
}

// Age writes how long ago something was, in the largest unit that fits: "40 min",
// "5 h", "3 days". What is ahead of now is 0 min ago.
func Age(d time.Duration) string {
	d = max(d, 0)
	switch days := int(d.Hours() / 24); {
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case days < 2:
		return fmt.Sprintf("%d h", int(d.Hours()))
	default:
		return fmt.Sprintf("%d days", days)
	}
}

// Lacks says what a device lacks of what is here, and of how many devices it was
// heard to hold entries that are not here.
func Lacks(entries, beyond int) string {
	text := "holds all that is here"
	switch {
	case entries == 1:
		text = "1 entry here is not known to be there"
	case entries > 1:
		text = fmt.Sprintf("%d entries here are not known to be there", entries)
	}
	switch {
	case beyond == 1:
		text += "; holds entries of 1 device that are not here"
	case beyond > 1:
		text += fmt.Sprintf("; holds entries of %d devices that are not here", beyond)
	}
	return text
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
	next := model.Next(c.Devices, d.Replica)
	switch {
	case d.Fork != nil:
		list = append(list, d.Fork.Twice(next))
	case len(next) > 0:
		list = append(list, "goes on as "+strings.Join(next, " and "))
	}
	return list
}

func heldBack(n int) string {
	if n == 1 {
		return "1 entry is held back and counts for nothing"
	}
	return fmt.Sprintf("%d entries are held back and count for nothing", n)
}
