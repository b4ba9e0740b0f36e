// Sorts and filters the page's tables and keeps minor storms behind a switch. The state stands in the address after the
// #, behind the place on the page if there is one: #PLACE&TABLE.sort=KEY&TABLE.only.KEY=VALUE&TABLE.find=WORDS&minor=show.
// A link with it shows the same rows. Without this script every row shows.
(function () {
    'use strict';
    var views = [], switches = [], minorShown = false, place = '';
    var collator = new Intl.Collator('en', { numeric: true });

    function make(tag, name, text) {
        var element = document.createElement(tag);
        if (name) { element.className = name; }
        if (text) { element.textContent = text; }
        return element;
    }

    function textOf(cell) { return cell.textContent.trim(); }

    // keyOf is what a cell sorts by, null where it has no value.
    function keyOf(cell, isNumber) {
        var text = cell.dataset.key || textOf(cell);
        if (isNumber) {
            return text === '' || isNaN(text) ? null : Number(text);
        }
        return text === '' || text === '–' ? null : text;
    }

    // partsOf are the values of a cell that a filter can pick: a list of crews holds several.
    function partsOf(cell) { return textOf(cell).split(/;\s*/); }

    // ---- one table

    function View(table) {
        var view = this;
        this.table = table;
        this.body = table.tBodies[0];
        this.rows = Array.prototype.slice.call(this.body.rows);
        this.sort = '';
        this.falls = false;
        this.heads = {};
        this.picks = {};
        this.find = null;
        this.tools = make('div', 'tools');
        Array.prototype.forEach.call(table.tHead.rows[0].cells, function (th, column) {
            if (th.dataset.sorts) { view.addSort(th, column); }
            if (th.dataset.filters) { view.addPick(th, column); }
        });
        if ('find' in table.caption.dataset) { this.addFind(); }
        this.all = make('button', '', 'Show all rows');
        this.all.type = 'button';
        this.all.addEventListener('click', function () {
            view.set({});
            changed(view);
            (view.find || view.firstPick() || view.status).focus();
        });
        this.status = make('p', 'rows-shown');
        this.status.setAttribute('role', 'status');
        this.status.tabIndex = -1;
        if (this.tools.childNodes.length) { this.tools.appendChild(this.all); }
        var box = table.closest('.scroll');
        box.parentNode.insertBefore(this.tools, box);
        box.parentNode.insertBefore(this.status, box);
    }

    View.prototype.firstPick = function () {
        var key = Object.keys(this.picks)[0];
        return key && this.picks[key].select;
    };

    View.prototype.addSort = function (th, column) {
        var view = this, button = make('button', 'sort'), name = make('span', 'name', textOf(th.firstChild)), key = th.dataset.sorts;
        var head = { th: th, column: column, name: name.textContent, isNumber: th.className === 'number', order: make('span', 'order') };
        th.replaceChild(name, th.firstChild);
        while (th.firstChild) { button.appendChild(th.firstChild); }
        button.type = 'button';
        button.appendChild(head.order);
        button.addEventListener('click', function () {
            view.falls = view.sort === key && !view.falls;
            view.sort = view.sort === key && !view.falls ? '' : key;
            changed(view);
        });
        th.appendChild(button);
        this.heads[key] = head;
    };

    View.prototype.addPick = function (th, column) {
        var view = this, label = make('label', '', textOf(th) + ' '), select = make('select'), values = [];
        this.rows.forEach(function (row) {
            partsOf(row.cells[column]).forEach(function (value) {
                if (values.indexOf(value) < 0) { values.push(value); }
            });
        });
        select.appendChild(new Option('all', ''));
        values.sort(collator.compare).forEach(function (value) { select.appendChild(new Option(value, value)); });
        select.addEventListener('change', function () { changed(view); });
        label.appendChild(select);
        this.tools.appendChild(label);
        this.picks[th.dataset.filters] = { column: column, select: select };
    };

    View.prototype.addFind = function () {
        var view = this, label = make('label', '', 'Rows with ');
        this.find = make('input');
        this.find.type = 'search';
        this.find.autocomplete = 'off';
        this.find.addEventListener('input', function () { changed(view); });
        label.appendChild(this.find);
        this.tools.appendChild(label);
    };

    // state is what the address says of the table, by key without the table's id.
    View.prototype.state = function () {
        var state = {}, view = this;
        if (this.sort) { state.sort = (this.falls ? '-' : '') + this.sort; }
        Object.keys(this.picks).forEach(function (key) {
            if (view.picks[key].select.value) { state['only.' + key] = view.picks[key].select.value; }
        });
        if (this.find && this.find.value.trim()) { state.find = this.find.value.trim(); }
        return state;
    };

    // set takes a state; what the table does not know is left out.
    View.prototype.set = function (state) {
        var view = this, sort = state.sort || '';
        this.falls = sort.charAt(0) === '-';
        sort = this.falls ? sort.slice(1) : sort;
        this.sort = Object.prototype.hasOwnProperty.call(this.heads, sort) ? sort : '';
        Object.keys(this.picks).forEach(function (key) {
            var select = view.picks[key].select;
            select.value = state['only.' + key] || '';
            if (select.selectedIndex < 0) { select.value = ''; }
        });
        if (this.find) { this.find.value = state.find || ''; }
    };

    View.prototype.isShown = function (row) {
        var view = this, text;
        if ('minor' in row.dataset && !minorShown) { return false; }
        if (!Object.keys(this.picks).every(function (key) {
            var pick = view.picks[key];
            return !pick.select.value || partsOf(row.cells[pick.column]).indexOf(pick.select.value) >= 0;
        })) { return false; }
        if (!this.find || !this.find.value.trim()) { return true; }
        text = Array.prototype.map.call(row.cells, textOf).join(' ').toLowerCase();
        return this.find.value.trim().toLowerCase().split(/\s+/).every(function (word) { return text.indexOf(word) >= 0; });
    };

    // sorted are the rows in the order asked for: rows with the same key as delivered, rows without one last.
    View.prototype.sorted = function () {
        var head = this.heads[this.sort], falls = this.falls;
        if (!head) { return this.rows; }
        return this.rows.map(function (row, i) {
            return { row: row, at: i, key: keyOf(row.cells[head.column], head.isNumber) };
        }).sort(function (x, y) {
            if (x.key === null || y.key === null) {
                return (x.key === null) - (y.key === null) || x.at - y.at;
            }
            var order = head.isNumber ? x.key - y.key : collator.compare(x.key, y.key);
            return (falls ? -order : order) || x.at - y.at;
        }).map(function (one) { return one.row; });
    };

    View.prototype.orderWords = function (head) {
        var isDate = !head.isNumber && this.rows.some(function (row) { return row.cells[head.column].dataset.key; });
        if (head.isNumber) { return this.falls ? 'highest first' : 'lowest first'; }
        if (isDate) { return this.falls ? 'latest first' : 'earliest first'; }
        return this.falls ? 'z to a' : 'a to z';
    };

    View.prototype.show = function () {
        var view = this, shown = 0, words, isChanged = Object.keys(this.state()).length > 0;
        this.sorted().forEach(function (row) {
            row.hidden = !view.isShown(row);
            shown += row.hidden ? 0 : 1;
            view.body.appendChild(row);
        });
        Object.keys(this.heads).forEach(function (key) {
            var head = view.heads[key], isSorted = key === view.sort;
            if (isSorted) {
                head.th.setAttribute('aria-sort', view.falls ? 'descending' : 'ascending');
            } else {
                head.th.removeAttribute('aria-sort');
            }
            head.order.textContent = isSorted ? view.orderWords(head) : '';
        });
        words = shown + ' of ' + this.rows.length + ' rows';
        if (this.sort) { words += ', by ' + this.heads[this.sort].name + ', ' + this.orderWords(this.heads[this.sort]); }
        words = isChanged ? words : '';
        if (this.status.textContent !== words) { this.status.textContent = words; }
        this.table.classList.toggle('resorted', this.sort !== '');
        this.all.hidden = !isChanged;
    };

    // ---- minor storms

    function addSwitch(note) {
        var button = make('button');
        button.type = 'button';
        button.addEventListener('click', function () {
            minorShown = !minorShown;
            changed(null);
        });
        note.textContent = '';
        note.appendChild(button);
        switches.push({ button: button, count: Number(note.dataset.count) });
    }

    function showMinor() {
        document.body.classList.toggle('hides-minor', !minorShown && switches.length > 0);
        switches.forEach(function (one) {
            var storms = one.count + (one.count === 1 ? ' minor storm ' : ' minor storms ');
            one.button.textContent = storms + (minorShown ? 'shown; hide' : 'hidden; show');
        });
    }

    // ---- the address

    function decoded(text) {
        try {
            return decodeURIComponent(text);
        } catch (fault) {
            return '';
        }
    }

    // read parts the address into a place on the page and the state of each table.
    function read() {
        var found = { place: '', minor: false, tables: {}, isEmpty: true };
        location.hash.slice(1).split('&').forEach(function (piece, i) {
            var at = piece.indexOf('='), name = decoded(piece.slice(0, Math.max(at, 0))), dot = name.indexOf('.');
            if (name !== 'minor' && dot < 0) {
                if (i === 0) { found.place = decoded(piece); } // an id may hold an equals sign, never a point
                return;
            }
            found.isEmpty = false;
            if (name === 'minor') {
                found.minor = piece.slice(at + 1) === 'show';
                return;
            }
            found.tables[name.slice(0, dot)] = found.tables[name.slice(0, dot)] || {};
            found.tables[name.slice(0, dot)][name.slice(dot + 1)] = decoded(piece.slice(at + 1));
        });
        return found;
    }

    function stateOf() {
        var pieces = [];
        if (minorShown && switches.length) { pieces.push('minor=show'); }
        views.forEach(function (view) {
            var state = view.state();
            Object.keys(state).forEach(function (key) {
                pieces.push(encodeURIComponent(view.table.id + '.' + key) + '=' + encodeURIComponent(state[key]));
            });
        });
        return pieces;
    }

    function write() {
        var pieces = stateOf();
        if (place) { pieces.unshift(encodeURIComponent(place)); }
        history.replaceState(null, '', location.href.split('#')[0] + (pieces.length ? '#' + pieces.join('&') : ''));
    }

    function showAll() {
        showMinor();
        views.forEach(function (view) { view.show(); });
    }

    // changed follows a reader's hand: the address leads to the table that was touched last.
    function changed(view) {
        if (view) { place = view.table.id; }
        if (view) { view.show(); } else { showAll(); }
        write();
    }

    function take(found) {
        place = found.place;
        minorShown = found.minor;
        views.forEach(function (view) {
            view.set(Object.prototype.hasOwnProperty.call(found.tables, view.table.id) ? found.tables[view.table.id] : {});
        });
        showAll();
    }

    // follow keeps the rows as they are where a link leads to a place on the page only.
    function follow() {
        var found = read(), target;
        if (found.isEmpty && found.place) {
            place = found.place;
            if (stateOf().length) { write(); }
            return;
        }
        take(found);
        target = found.place && document.getElementById(found.place);
        if (target) { target.scrollIntoView(); }
    }

    document.querySelectorAll('p.minor-note').forEach(addSwitch);
    document.querySelectorAll('table:has(caption[data-find]), table:has(th[data-sorts]), table:has(th[data-filters]), table:has(tr[data-minor])').forEach(function (table) {
        views.push(new View(table));
    });
    follow();
    showAll();
    window.addEventListener('hashchange', follow);
})();
