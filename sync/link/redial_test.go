package link_test

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/sync/link"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/stretchr/testify/require"
)

// An attempt is what came of one connection under Stay.
type attempt struct {
	code wire.Code
	err  error
	wait time.Duration
	at   time.Duration // since the start
}

// stay runs Stay for so long, with the highest chance there is, and returns the
// attempts.
func stay(t *testing.T, d *device, how time.Duration, dial func() (link.Conn, error)) (made []attempt) {
	began := time.Now()
	ctx, cancel := context.WithTimeout(context.Background(), how)
	defer cancel()
	err := link.Stay(ctx, link.Redial{
		Dial:   func(context.Context) (link.Conn, error) { return dial() },
		Config: func() link.Config { return d.config(true) },
		Now:    time.Now, After: time.After, Random: func() uint64 { return 500_000_000 },
		Tell: func(r link.Report, err error, wait time.Duration) {
			made = append(made, attempt{r.End.Code, err, wait, time.Since(began)})
		},
	})
	require.NoError(t, err)
	return made
}

func TestStayWhereNobodyAnswers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		nobody := errors.New("connection refused")
		made := stay(t, newDevice(t, 1), time.Hour, func() (link.Conn, error) { return nil, nobody })
		require.Greater(t, len(made), 3600)
		for n, a := range made {
			require.Equal(t, attempt{0, nobody, session.Wait(n, 500_000_000), a.at}, a)
		}
	})
}

// A broken connection is made again, and entries written meanwhile arrive.
func TestStayConnectsAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		dials := 0
		dial := func() (link.Conn, error) {
			phone.notes(1)
			x, y := newPipe()
			if dials++; dials < 4 {
				time.AfterFunc(5*time.Minute, func() { x.Close() })
			}
			run(t, y, laptop.config(false))
			return x, nil
		}
		made := stay(t, phone, time.Hour, dial)
		require.Len(t, made, 3)
		for _, a := range made {
			require.ErrorContains(t, a.err, "the connection broke")
			require.LessOrEqual(t, a.wait, 500*time.Millisecond) // each had stood for long
		}
		synctest.Wait()
		requireSame(t, laptop, phone)
	})
}

// Who is refused does not knock all the time; who is told when to come obeys.
func TestStayRefused(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		dial := func() (link.Conn, error) {
			x, y := newPipe()
			cfg := laptop.config(false)
			cfg.Session.Admit = func(session.Peer) error { return errors.New("not now") }
			run(t, y, cfg)
			return x, nil
		}
		made := stay(t, phone, 3*time.Hour, dial)
		require.Equal(t, wire.CodeRefused, made[0].code)
		require.Equal(t, 30*time.Second, made[0].wait)
		for _, a := range made[5:] {
			require.GreaterOrEqual(t, a.wait, 5*time.Minute)
			require.LessOrEqual(t, a.wait, 10*time.Minute)
		}

		made = stay(t, phone, time.Hour, func() (link.Conn, error) {
			x, y := newPipe()
			go func() {
				frame, _ := wire.Encode(&wire.Bye{Code: wire.CodeBusy, Text: "later", Retry: 7 * time.Minute})
				y.WriteFrame(frame)
				y.Close()
			}()
			return x, nil
		})
		require.Len(t, made, 9)
		for n, a := range made {
			require.Equal(t, 7*time.Minute, a.wait)
			require.Equal(t, time.Duration(n)*7*time.Minute, a.at)
		}
	})
}
