package intake

import "lanetally/pipeline/delivery"

// inspection is what a look at a file of the inbox found.
type inspection struct {
	Content delivery.Content
	Err     error
}

// inspections look at the files of the inbox, in order, in a goroutine of its own, one ahead of the file that is loaded. That a file may
// change until it is loaded is seen then, by its digest.
type inspections struct {
	found chan inspection
	quit  chan struct{}
	done  chan struct{}
}

// InspectAhead begins to look. Until end the stamps of files belong to it.
func InspectAhead(stamps *FileStamps, files []InboxFile) *inspections {
	a := &inspections{found: make(chan inspection), quit: make(chan struct{}), done: make(chan struct{})}
	go func() {
		defer close(a.done)
		for _, file := range files {
			var look inspection
			if file.err != nil {
				look.Err = delivery.OpenFault(file.Path, file.err)
			} else {
				look.Content, look.Err = stamps.inspect(file)
			}
			select {
			case a.found <- look:
			case <-a.quit:
				return
			}
		}
	}()
	return a
}

// Next is what was found of the next file.
func (a *inspections) Next() inspection { return <-a.found }

// End waits until no file is looked at.
func (a *inspections) End() {
	close(a.quit)
	<-a.done
}
