package pipeline

import (
	"fmt"
	"html"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
)

// Our own templates write every attribute in double quotes.
var (
	linkAttributes = regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	idAttributes   = regexp.MustCompile(`\bid="([^"]*)"`)
)

// brokenLinks names every link of the pages below root that leads out of the folder, to no file, or to no place in its page.
func brokenLinks(root string) (broken []string, err error) {
	pages := map[string]string{}
	err = filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		pages[filepath.ToSlash(relative)] = ""
		if strings.HasSuffix(name, ".html") {
			text, err := os.ReadFile(name) // #nosec G122 -- pages that this run wrote itself
			pages[filepath.ToSlash(relative)] = string(text)
			return err
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	places := map[string]map[string]bool{}
	for name, text := range pages {
		places[name] = map[string]bool{}
		for _, id := range idAttributes.FindAllStringSubmatch(text, -1) {
			places[name][html.UnescapeString(id[1])] = true
		}
	}
	for name, text := range pages {
		for _, link := range linkAttributes.FindAllStringSubmatch(text, -1) {
			if fault := followLink(name, html.UnescapeString(link[1]), places); fault != "" {
				broken = append(broken, fmt.Sprintf("public/%s: link %q %s", name, link[1], fault))
			}
		}
	}
	return broken, nil
}

// followLink says what is wrong with a link of page from; "" when it resolves. places holds the ids of every file.
func followLink(from, link string, places map[string]map[string]bool) string {
	target, err := url.Parse(link)
	if err != nil {
		return "is no address"
	}
	if target.Scheme == "data" {
		return ""
	}
	if target.Scheme != "" || target.Host != "" || strings.HasPrefix(target.Path, "/") {
		return "leads out of the folder"
	}
	name := from
	if target.Path != "" {
		name = path.Join(path.Dir(from), target.Path)
	}
	ids, isThere := places[name]
	if !isThere {
		return "leads to no file"
	}
	if target.Fragment != "" && strings.HasSuffix(name, ".html") && !ids[target.Fragment] {
		return "leads to no place of its page"
	}
	return ""
}
