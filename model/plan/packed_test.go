package plan

import (
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"ampwright/calc/desk"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the packed plans anew")

// The newest version of each plan is there in its packed form, and no other; from
// it comes what the file says.
func TestPacked(t *testing.T) {
	want := map[string]bool{}
	all := Editions()
	for i, e := range all {
		if i+1 < len(all) && all[i+1].ID == e.ID {
			continue // there is a newer one
		}
		name := fmt.Sprintf("%s.%d", e.ID, e.Version)
		want[name+".packed"] = true
		source, err := files.ReadFile(name + ".json")
		require.NoError(t, err)
		p, err := Load(name, source)
		require.NoError(t, err)
		k := packer{file: string(source)}
		k.value(reflect.ValueOf(p).Elem())
		packed := string(k.packed)
		if *update {
			require.NoError(t, os.WriteFile(name+".packed", []byte(packed), 0o644))
			continue
		}
		have, err := files.ReadFile(name + ".packed")
		require.NoError(t, err, "run this test with -update")
		require.True(t, packed == string(have), "%s.packed is another plan: run this test with -update", name)
		unpacked := unpack(packed, string(source))
		for i, d := range unpacked.Derived {
			if d.Figure == nil {
				continue
			}
			from := p.Derived[i].Figure
			require.Equal(t, []any{from.Calc.Name, from.Output, from.Takes}, []any{d.Figure.Calc.Name, d.Figure.Output, d.Figure.Takes})
			unpacked.Derived[i].Figure, p.Derived[i].Figure = nil, nil // they hold functions
		}
		require.Equal(t, p, unpacked)
		for _, wrong := range []string{"", packed[:len(packed)-1], packed + "x"} {
			require.Panics(t, func() { unpack(wrong, string(source)) })
		}
	}
	list, err := files.ReadDir(".")
	require.NoError(t, err)
	for _, f := range list {
		require.True(t, want[f.Name()] || strings.HasSuffix(f.Name(), ".json"), "%s is not needed: remove it", f.Name())
	}
}

// A packer makes the packed form; see unpacker.
type packer struct {
	packed []byte
	file   string
	at     int
}

func (k *packer) text(s string) {
	k.packed = binary.AppendUvarint(k.packed, uint64(len(s)))
	if s == "" {
		return
	}
	quoted := strconv.Quote(s)
	from := strings.Index(k.file[k.at:], quoted) + k.at + 1
	if back := strings.LastIndex(k.file[:k.at], quoted); from == k.at || back >= 0 && k.at-back < from-k.at {
		from = back + 1
	}
	if from == 0 || len(quoted) != len(s)+2 {
		k.packed = append(append(k.packed, 0), s...)
		return
	}
	k.packed = binary.AppendVarint(k.packed, int64(from-k.at))
	k.at = from + len(s)
}

func (k *packer) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		k.text(v.String())
	case reflect.Int, reflect.Int64:
		k.packed = binary.AppendVarint(k.packed, v.Int())
	case reflect.Float64:
		if n := int64(math.Round(v.Float() * 100)); float64(n)/100 == v.Float() {
			k.packed = binary.AppendVarint(append(k.packed, 1), n)
			return
		}
		k.packed = binary.LittleEndian.AppendUint64(append(k.packed, 0), math.Float64bits(v.Float()))
	case reflect.Bool:
		b := byte(0)
		if v.Bool() {
			b = 1
		}
		k.packed = append(k.packed, b)
	case reflect.Slice:
		k.packed = binary.AppendUvarint(k.packed, uint64(v.Len()))
		for i := range v.Len() {
			k.value(v.Index(i))
		}
	case reflect.Pointer:
		if v.IsNil() {
			k.packed = append(k.packed, 0)
			return
		}
		k.packed = append(k.packed, 1)
		if f, ok := v.Interface().(*desk.Figure); ok {
			k.text(f.Calc.Name)
			k.text(f.Output.Name)
			return
		}
		k.value(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				k.value(v.Field(i))
			}
		}
	default:
		panic(fmt.Sprintf("%s in a plan", v.Type()))
	}
}

// BenchmarkFirst is a plan read for the first time: as the program does it, and from
// its file alone.
func BenchmarkFirst(b *testing.B) {
	const name = "small-motorcycle-hub.2"
	file, err := files.ReadFile(name + ".json")
	require.NoError(b, err)
	packed, err := files.ReadFile(name + ".packed")
	require.NoError(b, err)
	b.Run("packed", func(b *testing.B) {
		for b.Loop() {
			require.NotEmpty(b, unpack(string(packed), string(file)).Tasks)
		}
	})
	b.Run("file", func(b *testing.B) {
		for b.Loop() {
			p, err := Load(name, file)
			require.NoError(b, err)
			require.NotEmpty(b, p.Tasks)
		}
	})
}
