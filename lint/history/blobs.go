package history

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"sync"

	"sewable/lang/syntax"
)

// blobs reads contents by their names, through one git that is started when it
// is first needed.
type blobs struct {
	repo *Repo

	mu   sync.Mutex
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	err  error           // what ended it
	said strings.Builder // by git, to be read once it has ended
}

// ready starts git unless that was done.
func (b *blobs) ready() error {
	if b.cmd == nil && b.err == nil {
		b.err = b.start()
	}
	return b.err
}

func (b *blobs) start() error {
	b.cmd = b.repo.command(context.Background(), "cat-file", "--batch")
	b.cmd.Stderr = &b.said
	var err error
	if b.in, err = b.cmd.StdinPipe(); err != nil {
		return err
	}
	out, err := b.cmd.StdoutPipe()
	if err != nil {
		return err
	}
	b.out = bufio.NewReaderSize(out, 64<<10)
	return b.cmd.Start()
}

// read gives a content, one byte past the language's limit at most.
func (b *blobs) read(id string) (string, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if err := b.ready(); err != nil {
		return "", err
	}
	if _, err := io.WriteString(b.in, id+"\n"); err != nil {
		return b.broken(err)
	}
	return b.answer()
}

// readAll gives many contents in their order, without waiting for each before the next is
// asked for. It stops at the first error.
func (b *blobs) readAll(ids []string, take func(i int, text string)) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if err := b.ready(); err != nil {
		return err
	}
	go io.WriteString(b.in, strings.Join(ids, "\n")+"\n") // an error shows when reading
	var failed error
	for i := range ids {
		text, err := b.answer()
		switch {
		case b.err != nil:
			return b.err
		case err != nil && failed == nil:
			failed = err // the other answers are on their way
		case failed == nil:
			take(i, text)
		}
	}
	return failed
}

// answer reads the next answer, in the form of git cat-file --batch: a line "name type
// size", the content and a line feed.
func (b *blobs) answer() (string, error) {
	head, err := b.out.ReadString('\n')
	if err != nil {
		return b.broken(err)
	}
	fields := strings.Fields(head)
	if len(fields) == 0 {
		return b.broken(io.ErrUnexpectedEOF)
	}
	if len(fields) != 3 {
		return "", fmt.Errorf("git keeps no content %s: the clone is partial, and nothing is fetched here", short(fields[0]))
	}
	size, err := strconv.ParseInt(fields[2], 10, 64)
	if err != nil {
		return b.broken(err)
	}
	text := make([]byte, min(size, syntax.MaxBytes+1))
	if _, err := io.ReadFull(b.out, text); err != nil {
		return b.broken(err)
	}
	if _, err := io.CopyN(io.Discard, b.out, size-int64(len(text))+1); err != nil {
		return b.broken(err)
	}
	return string(text), nil
}

// broken notes that git answers no more. Git ends when a content is not there that a partial clone leaves with its remote.
func (b *blobs) broken(err error) (string, error) {
	b.in.Close()
	b.cmd.Wait() // for all that it said
	failed := &gitError{"cat-file", b.said.String(), b.cmd.ProcessState.ExitCode(), err}
	switch {
	case failed.says("promisor") || failed.says("lazy fetch"):
		b.err = errors.New("this clone is partial: it does not have all files of the commits, and nothing is fetched here. To fetch them: git fetch --refetch --filter=blob:limit=8m")
	default:
		b.err = failed
	}
	return "", b.err
}

func (b *blobs) close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.cmd != nil && b.cmd.Process != nil && b.cmd.ProcessState == nil {
		b.in.Close()
		b.cmd.Wait()
	}
	b.cmd, b.err = nil, io.ErrClosedPipe
}
