package simulate

import (
	"telltale/record"
	"telltale/reference"
)

// stretch is a part of the run with one exercise and one position of the line.
type stretch struct {
	from, to float64 // seconds
	exercise string  // what is being done
	label    string  // what the file says is being done
	line     record.Air
	word     record.Air // what the file says the line is on; Purge after a switch
}

// at finds the stretch that holds at t; the last one holds for ever.
func at(all []stretch, t float64) stretch {
	for _, s := range all {
		if t < s.to-1e-9 {
			return s
		}
	}
	return all[len(all)-1]
}

// planner lays stretches end to end.
type planner struct {
	setup Setup
	all   []stretch
}

func (p *planner) end() float64 {
	if len(p.all) == 0 {
		return 0
	}
	return p.all[len(p.all)-1].to
}

// add lays seconds of an air during an exercise. With a switched line the first
// seconds after a change of air are called purge.
func (p *planner) add(exercise string, air record.Air, seconds float64) {
	if seconds <= 0 {
		return
	}
	label := exercise
	if air == record.Ambient && !p.setup.LabelRoom {
		label = ""
	}
	from := p.end()
	if purge := min(p.setup.PurgeS, seconds); p.changes(air) && purge > 0 {
		word := label
		if !p.setup.LabelRoom {
			word = ""
		}
		p.all = append(p.all, stretch{from, from + purge, exercise, word, air, record.Purge})
		from, seconds = from+purge, seconds-purge
	}
	if seconds > 0 {
		p.all = append(p.all, stretch{from, from + seconds, exercise, label, air, air})
	}
}

func (p *planner) changes(air record.Air) bool {
	return len(p.all) > 0 && p.all[len(p.all)-1].line != air
}

// roomS is the time a switched line spends on the room before an exercise whose
// protocol leaves that open, its purge not counted. An assumption.
const roomS = 6

// plan lays out the run: which exercise, which air, and what the file says.
func plan(s Setup) []stretch {
	p := &planner{setup: s}
	switch ex := s.Protocol.Exercises; {
	case len(ex) == 0:
		p.free()
	case !s.Switched:
		for _, e := range ex {
			p.add(e.Name, record.Both, float64(e.Seconds))
		}
	case s.Protocol.Ambient == reference.StartAndEnd:
		for _, e := range ex {
			p.add(e.Name, record.Ambient, float64(e.AmbientS))
			p.add(e.Name, record.Inside, float64(e.InsideS))
			p.add(e.Name, record.Ambient, float64(e.AmbientAfterS))
		}
	default:
		p.eachExercise(ex)
	}
	return p.all
}

// eachExercise samples the room before each exercise and after the last. An
// exercise too short for that (the grimace) stays on the mask.
func (p *planner) eachExercise(all []reference.Exercise) {
	purge := p.setup.PurgeS
	for _, e := range all {
		seconds := float64(e.Seconds)
		if seconds >= 30 {
			room := roomS + purge
			if len(p.all) == 0 {
				room = roomS // the line was on the room already
			}
			p.add(e.Name, record.Ambient, room)
			seconds -= room
		}
		p.add(e.Name, record.Inside, seconds)
	}
	p.add("", record.Ambient, roomS+purge)
}

// free lays out a run without exercises: with a switched line a minute on the
// mask after each half minute on the room.
func (p *planner) free() {
	total := p.setup.FreeS
	if total == 0 {
		total = 300
	}
	if !p.setup.Switched {
		p.add("", record.Both, total)
		return
	}
	for p.end() < total-90 {
		p.add("", record.Ambient, 30)
		p.add("", record.Inside, 60)
	}
	p.add("", record.Ambient, max(30, total-p.end()))
}
