package model_test

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/google/uuid"
)

// runs packs a logbook as a store that has been packed holds it.
func runs(b *testing.B, raws [][]byte) [][]byte {
	chains := map[uuid.UUID][][]byte{}
	var order []uuid.UUID
	for _, raw := range raws {
		e, err := model.Decode(raw)
		if err != nil {
			b.Fatal(err)
		}
		if chains[e.Replica] == nil {
			order = append(order, e.Replica)
		}
		chains[e.Replica] = append(chains[e.Replica], raw)
	}
	var packed [][]byte
	for _, id := range order {
		for chain := chains[id]; len(chain) > 0; {
			n := min(len(chain), 4096)
			run, err := model.PackRun(chain[:n])
			if err != nil {
				b.Fatal(err)
			}
			packed = append(packed, run)
			chain = chain[n:]
		}
	}
	return packed
}

// BenchmarkFold measures what opening a logbook costs beside reading the file:
// every hash computed again, every entry indexed.
func BenchmarkFold(b *testing.B) {
	for _, n := range []int{10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			packed := runs(b, modeltest.Garage(n, 1))
			b.ReportAllocs()
			for b.Loop() {
				l := model.NewLogbook()
				for _, run := range packed {
					if err := l.AddRun(run); err != nil {
						b.Fatal(err)
					}
				}
				if l.Len() != n {
					b.Fatal(l.Len())
				}
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

// BenchmarkFoldAndBuild measures the fold and all that follows from it: tasks,
// verdicts, money, findings of every build.
func BenchmarkFoldAndBuild(b *testing.B) {
	now := time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)
	for _, n := range []int{10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			packed := runs(b, modeltest.Garage(n, 1))
			for b.Loop() {
				l := model.NewLogbook()
				for _, run := range packed {
					if err := l.AddRun(run); err != nil {
						b.Fatal(err)
					}
				}
				for _, id := range l.BuildIDs() {
					if _, err := l.Build(id, now, plan.Builtin); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

// BenchmarkDigest measures what two devices pay to see that they agree, of n
// entries; and closed, once more after every entry, where a device was struck
// off.
func BenchmarkDigest(b *testing.B) {
	for _, name := range []string{"open", "closed"} {
		b.Run(name, func(b *testing.B) {
			raws := modeltest.Garage(100_000, 1)
			l := model.NewLogbook()
			for _, run := range runs(b, raws) {
				if err := l.AddRun(run); err != nil {
					b.Fatal(err)
				}
			}
			first, _ := model.Decode(raws[0])
			pen := model.Pen{Replica: uuid.UUID{15: 1}}
			write := func(body model.Body) {
				made, err := pen.Write([]model.Draft{{Body: body}}, first.Stamp)
				if err == nil {
					_, err = l.Add(made[0])
				}
				if err != nil {
					b.Fatal(err)
				}
			}
			if name == "closed" {
				write(&model.ReplicaClose{Replica: first.Replica, Upto: first.ID})
			}
			for b.Loop() {
				if name == "closed" {
					write(&model.Note{Text: "x"})
				}
				l.Digest()
			}
		})
	}
}

// BenchmarkDecode measures the codec alone on whole entries.
func BenchmarkDecode(b *testing.B) {
	raws := modeltest.Garage(1000, 1)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if _, err := model.Decode(raws[i%len(raws)]); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

// BenchmarkMemory reports what an entry takes in memory after the fold.
func BenchmarkMemory(b *testing.B) {
	const n = 100_000
	packed := runs(b, modeltest.Garage(n, 1))
	var before, after runtime.MemStats
	for b.Loop() {
		runtime.GC()
		runtime.ReadMemStats(&before)
		l := model.NewLogbook()
		for _, run := range packed {
			if err := l.AddRun(run); err != nil {
				b.Fatal(err)
			}
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/n, "B/entry")
		runtime.KeepAlive(l)
	}
}
