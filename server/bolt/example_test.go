package bolt_test

import (
	"fmt"
	"os"
	"time"

	"ampwright/model"
	"ampwright/server/bolt"

	"github.com/google/uuid"
)

// A logbook is opened, folded, written on, and folded on.
func Example() {
	dir, err := os.MkdirTemp("", "logbook")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)

	for range 2 {
		s, err := bolt.Open(dir, bolt.Config{Program: "example"})
		if err != nil {
			fmt.Println(err)
			return
		}
		book := model.NewLogbook()
		if err := s.Runs(book.AddRun); err != nil {
			fmt.Println(err)
			return
		}
		pen, err := book.Pen(uuid.UUID{1})
		if err != nil {
			fmt.Println(err)
			return
		}
		noon := time.Date(2026, 8, 29, 12, 0, 0, 0, time.UTC)
		raws, err := pen.Write([]model.Draft{{Body: &model.Note{Text: "rear axle out"}}}, model.StampAt(noon))
		if err == nil {
			err = s.Append(raws) // durable from here on
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%d before, wrote number %d\n", book.Len(), pen.Head.Seq)
		if err := s.Close(); err != nil {
			fmt.Println(err)
		}
	}
	// Output:
	// 0 before, wrote number 1
	// 1 before, wrote number 2
}
