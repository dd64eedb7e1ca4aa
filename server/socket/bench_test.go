package socket_test

import (
	"encoding/binary"
	"fmt"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// processor is the time this process has had on all cores: on a shared machine it
// says more than the clock.
func processor() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkFill is the first exchange of a fresh replica: all entries durable and
// folded in there.
func BenchmarkFill(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(fmt.Sprintf("%dk", n/1000), func(b *testing.B) {
			full := newReplica(b, keep.NewMemory())
			raws, seals := sealed(b, n)
			_, err := full.book.Add(raws, seals...)
			require.NoError(b, err)
			d := serve(b, full)
			bytes, best, used := int64(0), time.Hour, time.Duration(0)
			for b.Loop() {
				b.StopTimer()
				fresh := newReplica(b, onDisk(b))
				d.invite(b, fresh)
				runtime.GC()
				b.StartTimer()
				began, had := time.Now(), processor()
				r := exchange(b, d.address, fresh)
				best, used = min(best, time.Since(began)), used+processor()-had
				bytes += r.BytesIn
				require.GreaterOrEqual(b, r.In, n)
			}
			b.ReportMetric(float64(best.Microseconds())/1000, "best-ms")
			b.ReportMetric(float64(used.Microseconds())/1000/float64(b.N), "cpu-ms/op")
			b.ReportMetric(float64(bytes)/float64(b.N)/float64(n), "B/entry")
		})
	}
}

// BenchmarkFillFloor copies the bytes of 100,000 entries over the same kind of
// websocket into a bare bbolt file, a thousand entries to a message and a
// transaction, four on their way: nothing is packed, checked or folded.
func BenchmarkFillFloor(b *testing.B) {
	raws, _ := sealed(b, 100_000)
	var lots [][]byte
	for from := 0; from < len(raws); from += 1000 {
		var lot []byte
		for _, raw := range raws[from:min(from+1000, len(raws))] {
			lot = append(lot, raw...)
		}
		lots = append(lots, lot)
	}
	up := websocket.Upgrader{WriteBufferSize: 32 << 10}
	h := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ws, err := up.Upgrade(w, r, nil)
		if err != nil {
			return
		}
		defer ws.Close()
		for i, lot := range lots {
			if i >= 4 {
				ws.ReadMessage()
			}
			ws.WriteMessage(websocket.BinaryMessage, lot)
		}
		for range 4 {
			ws.ReadMessage()
		}
	}))
	defer h.Close()
	for b.Loop() {
		b.StopTimer()
		db, err := bbolt.Open(filepath.Join(b.TempDir(), "floor.db"), 0o600, &bbolt.Options{NoFreelistSync: true, FreelistType: bbolt.FreelistMapType})
		require.NoError(b, err)
		b.StartTimer()
		ws, _, err := websocket.DefaultDialer.Dial("ws"+h.URL[4:], nil)
		require.NoError(b, err)
		for i := range lots {
			_, lot, err := ws.ReadMessage()
			require.NoError(b, err)
			require.NoError(b, db.Update(func(tx *bbolt.Tx) error {
				bucket, err := tx.CreateBucketIfNotExists([]byte("entries"))
				if err != nil {
					return err
				}
				return bucket.Put(binary.BigEndian.AppendUint64(nil, uint64(i)), lot)
			}))
			require.NoError(b, ws.WriteMessage(websocket.BinaryMessage, []byte{1}))
		}
		ws.Close()
		require.NoError(b, db.Close())
	}
}

// waitFor waits until a replica knows that the other side holds an entry of its
// own.
func waitFor(r *running, from *replica, id model.ID) {
	for {
		for _, h := range r.Peer().Vector[from.name] {
			if h.ID == id {
				return
			}
		}
		time.Sleep(50 * time.Microsecond)
	}
}

// BenchmarkIncrement writes a hundred entries on one of two connected replicas and
// waits until the other has confirmed them: by the size of the logbook.
func BenchmarkIncrement(b *testing.B) {
	for _, n := range []int{1_000, 100_000} {
		b.Run(fmt.Sprintf("%dk", n/1000), func(b *testing.B) {
			hub, phone := newReplica(b, onDisk(b)), newReplica(b, onDisk(b))
			raws, seals := sealed(b, n)
			_, err := hub.book.Add(raws, seals...)
			require.NoError(b, err)
			d := serve(b, hub)
			d.invite(b, phone)
			exchange(b, d.address, phone)
			r := connect(b, d.address, phone.config(true))
			waitFor(r, phone, phone.note(1))
			before, had, best := r.traffic(), processor(), time.Hour
			for b.Loop() {
				began := time.Now()
				waitFor(r, phone, phone.note(100))
				best = min(best, time.Since(began))
			}
			b.ReportMetric(float64(best.Microseconds())/1000, "best-ms")
			b.ReportMetric(float64((processor()-had).Microseconds())/1000/float64(b.N), "cpu-ms/op")
			b.ReportMetric(float64(r.traffic()-before)/float64(b.N), "wire-B/op")
			r.end()
			<-r.over
		})
	}
}

// BenchmarkAcknowledged counts entries that a hub has confirmed, one commit after
// the other on each phone.
func BenchmarkAcknowledged(b *testing.B) {
	for _, phones := range []int{1, 8} {
		b.Run(fmt.Sprintf("%dphones", phones), func(b *testing.B) {
			d := serve(b, newReplica(b, onDisk(b)))
			var links []*running
			var with []*replica
			for range phones {
				phone := newReplica(b, keep.NewMemory())
				d.invite(b, phone)
				exchange(b, d.address, phone)
				links, with = append(links, connect(b, d.address, phone.config(true))), append(with, phone)
			}
			b.ResetTimer()
			var all sync.WaitGroup
			for i, r := range links {
				all.Go(func() {
					for range b.N {
						waitFor(r, with[i], with[i].note(1))
					}
				})
			}
			all.Wait()
			b.ReportMetric(float64(phones*b.N)/b.Elapsed().Seconds(), "entries/s")
			for _, r := range links {
				r.end()
				<-r.over
			}
		})
	}
}

// BenchmarkAcknowledgedFloor stores what comes, a small message at a time, in a
// bare bbolt file before it answers.
func BenchmarkAcknowledgedFloor(b *testing.B) {
	db, err := bbolt.Open(filepath.Join(b.TempDir(), "floor.db"), 0o600, &bbolt.Options{NoFreelistSync: true, FreelistType: bbolt.FreelistMapType})
	require.NoError(b, err)
	up := websocket.Upgrader{}
	h := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ws, err := up.Upgrade(w, r, nil)
		if err != nil {
			return
		}
		defer ws.Close()
		for n := uint64(0); ; n++ {
			_, message, err := ws.ReadMessage()
			if err != nil {
				return
			}
			err = db.Update(func(tx *bbolt.Tx) error {
				bucket, err := tx.CreateBucketIfNotExists([]byte("entries"))
				if err != nil {
					return err
				}
				return bucket.Put(binary.BigEndian.AppendUint64(nil, n), message)
			})
			if err != nil || ws.WriteMessage(websocket.BinaryMessage, []byte{1}) != nil {
				return
			}
		}
	}))
	defer h.Close()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+h.URL[4:], nil)
	require.NoError(b, err)
	message := make([]byte, 230) // as one entry in its frame
	for b.Loop() {
		require.NoError(b, ws.WriteMessage(websocket.BinaryMessage, message))
		_, _, err := ws.ReadMessage()
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "entries/s")
	ws.Close()
	require.NoError(b, db.Close())
}

// BenchmarkIdle weighs both ends of a connection at rest, on a logbook of 10,000
// entries.
func BenchmarkIdle(b *testing.B) {
	hub := newReplica(b, keep.NewMemory())
	raws, seals := sealed(b, 10_000)
	_, err := hub.book.Add(raws, seals...)
	require.NoError(b, err)
	d := serve(b, hub)
	phone := newReplica(b, keep.NewMemory())
	d.invite(b, phone)
	exchange(b, d.address, phone)
	weigh := func() uint64 {
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapInuse + m.StackInuse
	}
	for b.Loop() {
		before := weigh()
		var links []*running
		for range 8 { // more are not let in from one device
			r := connect(b, d.address, phone.config(true))
			for r.Peer().Vector == nil {
				time.Sleep(time.Millisecond)
			}
			links = append(links, r)
		}
		time.Sleep(50 * time.Millisecond)
		b.ReportMetric(float64(weigh()-before)/8/1024, "KiB/link")
		for _, r := range links {
			r.end()
			<-r.over
		}
	}
}
