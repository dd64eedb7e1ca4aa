package link

import (
	"time"

	"ampwright/model"
	"ampwright/sync/session"

	"github.com/google/uuid"
)

// A meeting is noted down when none of the last day is on record, or when the
// other clock has moved by so much against this one since. A phone that comes
// and goes fills no logbook.
const (
	meetAgain  = 24 * time.Hour
	meetOffset = 2 * time.Second
)

// meet notes down how far the other side's clock is from this one. An error of
// the store shows with the next entry: a meeting is not worth a link.
func (l *Link) meet(p session.Peer) {
	if !l.cfg.Meet || p.Replica == l.cfg.Session.Replica {
		return
	}
	now, due := l.cfg.Now(), false
	l.cfg.Book.Read(func(log *model.Logbook) { due = meetingDue(log, p.Replica, p.Offset, now) })
	if due {
		l.cfg.Book.Write([]model.Draft{{Body: &model.Meet{At: model.WhenOf(now), With: p.Replica, Offset: p.Offset.Milliseconds()}}})
	}
}

func meetingDue(log *model.Logbook, with uuid.UUID, offset time.Duration, now time.Time) bool {
	_, devices := log.Garage()
	for _, d := range devices {
		if d.Replica == with && !d.Met.IsZero() {
			return now.Sub(d.Met.Time()).Abs() >= meetAgain || (offset-d.Offset).Abs() >= meetOffset
		}
	}
	return true
}
