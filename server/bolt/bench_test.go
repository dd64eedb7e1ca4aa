package bolt

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// packed returns a folder with a closed logbook of n entries.
func packed(b *testing.B, n int) string {
	dir := b.TempDir()
	s, err := Open(dir, Config{})
	require.NoError(b, err)
	for part := range slices.Chunk(modeltest.Garage(n, 1), 1000) {
		require.NoError(b, s.Append(part))
	}
	require.NoError(b, s.Pack())
	require.NoError(b, s.Close())
	return dir
}

func fold(b *testing.B, s *Store, n int) *model.Logbook {
	l := model.NewLogbook()
	l.Grow(n)
	require.NoError(b, s.Runs(l.AddRun))
	require.Equal(b, n, l.Len())
	return l
}

func perSecond(b *testing.B, n int, what string) {
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), what+"/s")
}

var sizes = []int{10_000, 100_000}

func BenchmarkColdOpen(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprintf("%dk", n/1000), func(b *testing.B) {
			dir := packed(b, n)
			for b.Loop() {
				s, err := Open(dir, Config{})
				require.NoError(b, err)
				fold(b, s, n)
				b.StopTimer()
				require.NoError(b, s.Close())
				b.StartTimer()
			}
			perSecond(b, n, "entries")
		})
	}
}

func BenchmarkVerify(b *testing.B) {
	const n = 100_000
	path := filepath.Join(packed(b, n), dataFile)
	for b.Loop() {
		r, err := Verify(path)
		require.NoError(b, err)
		require.Empty(b, r.Damage)
	}
	perSecond(b, n, "entries")
}

func BenchmarkAppend(b *testing.B) {
	raws := modeltest.Garage(400_000, 1)
	for _, bare := range []struct {
		name   string
		values int // in a commit
		n      int // entries in a value
	}{{"bare-bbolt", 1, 1}, {"bare-bbolt100", 2, 50}} { // what batch100 writes, without us
		b.Run(bare.name, func(b *testing.B) {
			value := runOf(b, raws, bare.n)
			db, err := bbolt.Open(filepath.Join(b.TempDir(), "bare.db"), 0o600, options(false))
			require.NoError(b, err)
			defer db.Close()
			require.NoError(b, db.Update(func(tx *bbolt.Tx) error { _, err := tx.CreateBucket(looseBucket); return err }))
			for i := 0; b.Loop(); i++ {
				err := db.Update(func(tx *bbolt.Tx) error {
					for j := range bare.values {
						key := [40]byte{byte(j)}
						binary.BigEndian.PutUint64(key[16:], uint64(i))
						if err := tx.Bucket(looseBucket).Put(key[:], value); err != nil {
							return err
						}
					}
					return nil
				})
				require.NoError(b, err)
			}
			perSecond(b, bare.values*bare.n, "entries")
		})
	}
	for _, tt := range []struct {
		name   string
		batch  int
		sealed bool // with a seal of the last entry; that it verifies is no matter here
	}{{"single", 1, false}, {"single-sealed", 1, true}, {"batch100", 100, false}, {"batch100-sealed", 100, true}} {
		batch := tt.batch
		b.Run(tt.name, func(b *testing.B) {
			s, err := Open(b.TempDir(), Config{})
			require.NoError(b, err)
			defer s.Close()
			rest := raws
			for b.Loop() {
				if len(rest) < batch {
					b.Fatalf("%d entries are too few for this benchmark", len(raws))
				}
				var seals []model.Seal
				if tt.sealed {
					l, err := model.LinkOf(rest[batch-1])
					require.NoError(b, err)
					seals = []model.Seal{{Replica: l.Replica, Head: model.Head{Seq: l.Seq, ID: l.ID}}}
				}
				if err := s.Append(rest[:batch], seals...); err != nil {
					b.Fatal(err)
				}
				rest = rest[batch:]
			}
			perSecond(b, batch, "entries")
		})
	}
}

// runOf packs the first n entries of one replica.
func runOf(b *testing.B, raws [][]byte, n int) []byte {
	var chain [][]byte
	first, err := model.LinkOf(raws[0])
	require.NoError(b, err)
	for i := 0; len(chain) < n; i++ {
		if l, err := model.LinkOf(raws[i]); err == nil && l.Replica == first.Replica {
			chain = append(chain, raws[i])
		}
	}
	run, err := model.PackRun(chain)
	require.NoError(b, err)
	return run
}

func BenchmarkDisk(b *testing.B) {
	const n = 100_000
	for b.Loop() {
		info, err := os.Stat(filepath.Join(packed(b, n), dataFile))
		require.NoError(b, err)
		b.ReportMetric(float64(info.Size())/n, "B/entry")
	}
}
