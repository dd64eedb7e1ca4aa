package main

import (
	"bufio"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// A jobSet is one scheduling instance of a folder.
type jobSet struct {
	Instance string `json:"instance"`
	Capacity []int  `json:"capacity"`
	Jobs     []struct {
		ID         int   `json:"id"`
		Duration   int   `json:"duration"`
		Demand     []int `json:"demand"`
		Successors []int `json:"successors"`
	} `json:"jobs"`

	line              []byte
	group             string // by number of jobs
	critical, optimum int
}

// runScoreSchedule has the program schedule the instances of a folder one by
// one, checks every schedule and prints how far it is above the best known.
func runScoreSchedule(ctx context.Context, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("want score-schedule DIR, a folder with instances.jsonl and best.csv")
	}
	sets, err := readJobSets(args[0])
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "ampwright")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	exe, err := build(ctx, dir)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, exe, "schedule", "--cases", "-")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	results, err := scoreJobSets(sets, in, out)
	in.Close()
	if waitErr := cmd.Wait(); err == nil {
		err = waitErr
	}
	if err != nil {
		return err
	}
	printSchedules(os.Stdout, results)
	return nil
}

// A jobScore is what came of one instance.
type jobScore struct {
	*jobSet
	makespan int
	wrong    error // what makes the schedule none
	took     time.Duration
}

func scoreJobSets(sets []*jobSet, in io.Writer, out io.Reader) ([]jobScore, error) {
	answers := bufio.NewReader(out)
	var results []jobScore
	for _, s := range sets {
		begin := time.Now()
		if _, err := in.Write(append(s.line, '\n')); err != nil {
			return nil, fmt.Errorf("instance %s: %w", s.Instance, err)
		}
		line, err := answers.ReadBytes('\n')
		if err != nil {
			return nil, fmt.Errorf("instance %s: no answer: %w", s.Instance, err)
		}
		r := jobScore{jobSet: s, took: time.Since(begin)}
		var a struct {
			Instance string         `json:"instance"`
			Starts   map[string]int `json:"starts"`
		}
		if err := json.Unmarshal(line, &a); err != nil {
			return nil, fmt.Errorf("instance %s: %w", s.Instance, err)
		}
		if r.makespan, r.wrong = s.makespan(a.Starts); a.Instance != s.Instance {
			r.wrong = fmt.Errorf("answer is for %q", a.Instance)
		}
		results = append(results, r)
	}
	return results, nil
}

// makespan checks a schedule and says when its last job ends. It knows nothing
// of the package that makes schedules.
func (s *jobSet) makespan(starts map[string]int) (int, error) {
	begin, end, last := map[int]int{}, map[int]int{}, 0
	for _, j := range s.Jobs {
		at, ok := starts[strconv.Itoa(j.ID)]
		if !ok || at < 0 {
			return 0, fmt.Errorf("job %d has no start from 0 on", j.ID)
		}
		begin[j.ID], end[j.ID] = at, at+j.Duration
		last = max(last, end[j.ID])
	}
	used := make([][]int, last)
	for _, j := range s.Jobs {
		for _, k := range j.Successors {
			if begin[k] < end[j.ID] {
				return 0, fmt.Errorf("job %d starts before %d ends", k, j.ID)
			}
		}
		for t := begin[j.ID]; t < end[j.ID]; t++ {
			if used[t] == nil {
				used[t] = make([]int, len(s.Capacity))
			}
			for r, d := range j.Demand {
				if used[t][r] += d; used[t][r] > s.Capacity[r] {
					return 0, fmt.Errorf("resource %d is over its limit at %d", r+1, t)
				}
			}
		}
	}
	return last, nil
}

func readJobSets(dir string) ([]*jobSet, error) {
	var sets []*jobSet
	byName := map[string]*jobSet{}
	err := eachLine(filepath.Join(dir, "instances.jsonl"), func(line []byte) error {
		s := &jobSet{line: append([]byte(nil), line...)}
		if err := json.Unmarshal(line, s); err != nil {
			return err
		}
		sets, byName[s.Instance] = append(sets, s), s
		return nil
	})
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, "best.csv")
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	const head = "instance,jobs,critical_path,lower_bound,best_known_makespan"
	if len(rows) == 0 || !strings.HasPrefix(strings.Join(rows[0], ","), head) {
		return nil, fmt.Errorf("%s: want the columns %s", path, head)
	}
	for _, row := range rows[1:] {
		s := byName[row[0]]
		if s == nil {
			return nil, fmt.Errorf("%s: %q is not an instance", path, row[0])
		}
		s.group = "j" + row[1]
		if s.critical, err = strconv.Atoi(row[2]); err == nil {
			s.optimum, err = strconv.Atoi(row[4])
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", path, row[0], err)
		}
	}
	for _, s := range sets {
		if s.optimum <= 0 || s.critical <= 0 {
			return nil, fmt.Errorf("%s: nothing above 0 about %s", path, s.Instance)
		}
	}
	return sets, nil
}

// printSchedules prints a row for each group of instances, and for all.
func printSchedules(w io.Writer, results []jobScore) {
	groups := map[string][]jobScore{}
	var names []string
	for _, r := range results {
		if r.wrong != nil {
			fmt.Fprintf(w, "  %s: %v\n", r.Instance, r.wrong)
		} else if r.makespan != r.optimum {
			fmt.Fprintf(w, "  %s: %d, best known %d\n", r.Instance, r.makespan, r.optimum)
		}
		if groups[r.group] == nil {
			names = append(names, r.group)
		}
		groups[r.group] = append(groups[r.group], r)
	}
	groups["all"] = results
	fmt.Fprintf(w, "%-6s%4s%10s%9s%13s%22s%10s%10s\n", "set", "n", "feasible", "at best", "% over best", "% over critical path", "mean s", "most s")
	for _, name := range append(names, "all") {
		good, best := 0, 0
		var over, overCritical, took, most float64
		for _, r := range groups[name] {
			took, most = took+r.took.Seconds(), max(most, r.took.Seconds())
			if r.wrong != nil {
				continue
			}
			good++
			if r.makespan <= r.optimum {
				best++
			}
			over += 100 * (float64(r.makespan)/float64(r.optimum) - 1)
			overCritical += 100 * (float64(r.makespan)/float64(r.critical) - 1)
		}
		mean := func(sum float64) float64 {
			if good == 0 {
				return math.NaN()
			}
			return sum / float64(good)
		}
		n := len(groups[name])
		fmt.Fprintf(w, "%-6s%4d%10d%9d%13.2f%22.2f%10.2f%10.2f\n", name, n, good, best, mean(over), mean(overCritical), took/float64(n), most)
	}
}
