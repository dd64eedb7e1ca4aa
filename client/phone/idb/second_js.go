package idb

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall/js"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"
)

// A second is the second copy of what stands in the databases of a logbook.
type second struct {
	name  string
	cache js.Value // W3C, "Service Workers": a Cache
	late  bool     // the browser did not answer once: nobody waits for it again before the next start
}

// patience is how long the second copy may keep the first one waiting.
var patience = 10 * time.Second

// wait waits for a promise as long as there is patience.
func (c *second) wait(f func() js.Value) (js.Value, error) {
	if c.late {
		return js.Undefined(), errLate
	}
	timer := time.NewTimer(patience)
	defer timer.Stop()
	v, err := awaitUntil(timer.C, "keep a second copy", f)
	c.late = err == errLate
	return v, err
}

// secondAt stands before the keys of the second copy. Nothing is ever asked of a
// server there.
const secondAt = "/phone/second/"

var seconds = struct {
	sync.Mutex
	by map[string]*second // by the logbooks' names
}{by: map[string]*second{}}

func secondOf(name string) *second {
	seconds.Lock()
	defer seconds.Unlock()
	c := seconds.by[name]
	if c == nil {
		c = &second{name: name + "-second"}
		seconds.by[name] = c
	}
	return c
}

// An order is a method of a Cache with its arguments.
type order []any

func put(key string, record js.Value) order {
	return order{"put", secondAt + key, js.Global().Get("Response").New(record)}
}

func drop(key string) order { return order{"delete", secondAt + key} }

// do carries out orders, in no order, and returns the answers. That it does not
// work is no error where something is kept: the first copy is written, and the next
// start puts this one in order.
func (c *second) do(orders ...order) (js.Value, error) {
	if len(orders) == 0 {
		return js.Undefined(), nil
	}
	if c.cache.IsUndefined() {
		caches := js.Global().Get("caches")
		if !caches.Truthy() {
			return caches, &Error{Doing: "keep a second copy", Name: "NotSupportedError"}
		}
		cache, err := c.wait(func() js.Value { return caches.Call("open", c.name) })
		if err != nil {
			return cache, err
		}
		c.cache = cache
	}
	return c.wait(func() js.Value {
		var answers []any
		for _, o := range orders {
			answers = append(answers, c.cache.Call(o[0].(string), o[1:]...))
		}
		return js.Global().Get("Promise").Call("all", answers)
	})
}

func (c *second) keys() (keys []string) {
	answers, err := c.do(order{"keys"})
	if err != nil {
		return nil
	}
	requests := answers.Index(0)
	for i := range requests.Length() {
		_, key, _ := strings.Cut(requests.Index(i).Get("url").String(), secondAt)
		keys = append(keys, key)
	}
	return keys
}

// get returns what is kept under a key; nil where it does not read.
func (c *second) get(key string) []byte {
	answers, err := c.do(order{"match", secondAt + key})
	if err != nil || !answers.Index(0).Truthy() { // another tab has dropped it
		return nil
	}
	data, err := c.wait(func() js.Value { return answers.Index(0).Call("arrayBuffer") })
	if err != nil {
		return nil
	}
	return bytesOf(js.Global().Get("Uint8Array").New(data))
}

// level makes both copies the same: a logbook that is empty takes up what the
// second one holds, any other makes that one complete.
func (s *Store) level() error {
	keys, newest := s.second.keys(), s.last // what comes after that another tab has written
	if len(keys) > 0 && s.records() == 0 {
		if err := s.restore(keys); err != nil {
			return err
		}
		keys, newest = s.second.keys(), math.MaxInt
	}
	there := map[int]bool{}
	var orders []order
	for _, key := range keys {
		n, err := strconv.Atoi(key)
		if err != nil {
			continue
		}
		if there[n] = true; n <= newest && !s.has(n) {
			orders = append(orders, drop(key))
		}
	}
	for n := 1; n <= s.last; n++ {
		if there[n] || !s.has(n) {
			continue
		}
		var record js.Value
		err := s.db.transact("read the logbook", "readonly", func(store js.Value) { record = store.Call("get", n) })
		if err != nil {
			return err
		}
		if record = record.Get("result"); record.Truthy() { // or another tab has joined it
			orders = append(orders, put(strconv.Itoa(n), record))
		}
	}
	s.second.do(orders...)
	return nil
}

// has reports whether there is a record under a key.
func (s *Store) has(n int) bool {
	_, run := s.runs[n]
	return run || s.seals[n] != nil
}

// restore puts everything back that the second copy holds, the entries last and
// all at once: then it is done.
func (s *Store) restore(keys []string) error {
	var runs [][]byte
	var seals []model.Seal
	for _, key := range keys {
		data := s.second.get(key)
		if data == nil {
			continue
		}
		if _, err := strconv.Atoi(key); err == nil {
			if some, ok, _ := sealsOf(data); ok {
				seals = append(seals, some...)
			} else if _, err := spanOf(data); err == nil {
				runs = append(runs, data)
			}
			continue
		}
		var err error
		if _, no := keep.ParseBlobID(key); no == nil {
			_, err = NewBlobs(s.db.name).Put(bytes.NewReader(data))
		} else {
			err = writeBeside(s.db.name, key, data)
		}
		if err != nil {
			return err
		}
	}
	slices.SortFunc(runs, bytes.Compare) // their keys stand first: each after the one that it follows
	var all [][]byte
	each := make([][][]byte, len(runs))
	for i, run := range runs {
		model.UnpackRun(run[len(keep.Key{}):], func(raw string, _ model.ID) error {
			each[i] = append(each[i], []byte(raw))
			return nil
		})
		all = append(all, each[i]...)
	}
	err := s.Append(all, seals...)
	if err != nil { // one is damaged: what does not hang on it
		for _, raws := range each {
			s.Append(raws)
		}
		for _, seal := range seals {
			s.Append(nil, seal)
		}
	}
	if s.Restored = s.records() > 0; s.Restored {
		return nil
	}
	return err
}
