package link

import (
	"context"
	"time"

	"ampwright/sync/session"
	"ampwright/sync/wire"
)

// Times between connections.
const (
	stable     = time.Minute      // a connection that stood so long was a good one
	refusedMin = 30 * time.Second // after the other side refused this one
	refusedMax = 10 * time.Minute
)

// Redial is what Stay needs. Every field but Made and Tell is required.
type Redial struct {
	Dial   func(context.Context) (Conn, error)
	Config func() Config // of the next link: name, key and nonce may be others each time
	Now    func() time.Time
	After  func(time.Duration) <-chan time.Time
	Random func() uint64

	// Made is given each link before it runs, for [Link.Want].
	Made func(*Link)

	// Tell hears of every attempt that is over, and when the next will be made.
	Tell func(report Report, err error, wait time.Duration)
}

// Stay keeps a link until ctx is done: it connects, and connects again after a
// random wait when the connection is over. It returns an error only if a Config
// cannot work.
func Stay(ctx context.Context, r Redial) error {
	failed, refused := 0, 0
	for {
		began := r.Now()
		report, err, wrong := r.once(ctx)
		if wrong != nil || ctx.Err() != nil {
			return wrong
		}
		if r.Now().Sub(began) >= stable {
			failed, refused = 0, 0
		}
		var wait time.Duration
		switch end := report.End; {
		case end.Retry > 0:
			wait = end.Retry
		case Refusal(end.Code):
			limit := min(refusedMin<<min(refused, 8), refusedMax)
			wait = limit/2 + time.Duration(r.Random()%uint64(limit/2+1))
			wait = max(wait, refusedMin)
			refused++
		default:
			wait = session.Wait(failed, r.Random())
			failed++
		}
		if r.Tell != nil {
			r.Tell(report, err, wait)
		}
		select {
		case <-r.After(wait):
		case <-ctx.Done():
			return nil
		}
	}
}

// once makes one attempt. err says why there was no connection, wrong that there
// can be none.
func (r Redial) once(ctx context.Context) (report Report, err, wrong error) {
	conn, err := r.Dial(ctx)
	if err != nil {
		return report, err, nil
	}
	l, wrong := New(conn, r.Config())
	if wrong != nil {
		conn.Close()
		return report, nil, wrong
	}
	if r.Made != nil {
		r.Made(l)
	}
	report = l.Run(ctx)
	return report, report.Err, nil
}

// Refusal reports whether a session ended because the two sides do not go
// together, so that another attempt soon will not help.
func Refusal(c wire.Code) bool {
	switch c {
	case wire.CodeVersion, wire.CodeUnknown, wire.CodeKey, wire.CodeProof, wire.CodeRefused:
		return true
	}
	return false
}
