(style => {
    const root = style.closest('.vm-panel');
    if (!root || root.dataset.vmReady) return;
    root.dataset.vmReady = 'yes';
    const known = JSON.parse(style.dataset.panel);
    const part = number => root.querySelector('.vm-control-' + number);
    const set = (element, values) => Object.entries(values).forEach(([name, value]) => {
        if (element && element.getAttribute(name) !== value) element.setAttribute(name, value);
    });
    const take = readout => readout.dispatchEvent(new FocusEvent('blur', {bubbles: true}));
    const number = readout => parseFloat(readout.textContent.replace('\u2212', '-'));

    /* names for those who listen, one stop of the tab key for each control */
    const dress = () => {
        known.controls.forEach(({label, unit}, k) => {
            const control = part(k), handle = control?.querySelector('.noUi-handle');
            const readout = control?.querySelector('.widget-readout');
            const buttons = [...control?.querySelectorAll('.widget-toggle-button') ?? []];
            if (handle && readout) {
                set(handle, {'aria-label': label, 'aria-valuetext': (readout.textContent + ' ' + unit).trim()});
                set(readout, {tabindex: '-1', role: 'textbox', 'aria-label': label + ', type a value'});
            }
            set(buttons[0]?.parentElement, {role: 'group', 'aria-label': label});
            buttons.forEach(button => {
                const active = button.classList.contains('mod-active');
                set(button, {'aria-pressed': String(active), tabindex: active ? '0' : '-1'});
            });
        });
        set(root.querySelector('img.widget-image'), {alt: known.alt});
        root.querySelectorAll('[title=null]').forEach(element => element.removeAttribute('title'));
        set(root.querySelector('.vm-words'), {'aria-hidden': 'true'});
        root.querySelectorAll('.vm-play:not([data-ready])').forEach(prepare);
        root.querySelectorAll('details[data-copy]:not([data-ready])').forEach(copy);
    };

    /* Play: the page keeps the time, so that nothing runs on when the panel is gone */
    const FRAME = 1000 / 30, PATIENCE = 3000;
    const prepare = button => {
        const {label, unit, minimum, step, span, decimals, seconds} = known.controls[button.dataset.control];
        let playing = false, at = 0, last = 0, shown = '', answered = 0;
        const show = () => {
            button.textContent = (playing ? '\u275a\u275a pause: ' : '\u25b6 play: ') + label;
            root.classList.toggle('vm-playing', !!root.querySelector('.vm-play[data-playing]'));
        };
        const turn = on => {
            playing = on;
            on ? button.setAttribute('data-playing', '') : button.removeAttribute('data-playing');
            show();
        };
        const tick = now => {
            const control = part(button.dataset.control), image = root.querySelector('img.widget-image');
            if (!playing || !button.isConnected || !control) return turn(false);
            if (now - answered > PATIENCE && !image.classList.contains('vm-stale')) return turn(false);
            requestAnimationFrame(tick);
            if (now - last < FRAME - 4) return;
            const readout = control.querySelector('.widget-readout');
            if (document.activeElement === readout || control.querySelector('.noUi-active')) {
                answered = last = now;
                return;
            }
            if (readout.textContent !== shown) at = number(readout);
            const passed = Math.min(now - last, 200) / 1000;
            at = minimum + (at - minimum + span * passed / seconds) % span;
            last = now;
            readout.textContent = (minimum + Math.floor((at - minimum) / step + 1e-6) * step).toFixed(decimals);
            take(readout);
            shown = readout.textContent;
        };
        root.addEventListener('load', () => { answered = performance.now(); }, true);
        button.addEventListener('click', () => {
            turn(!playing);
            if (!playing) return;
            last = answered = performance.now();
            shown = '';
            requestAnimationFrame(tick);
        });
        button.hidden = false;
        button.setAttribute('data-ready', '');
        show();
    };

    /* texts to take away */
    const copy = box => {
        box.setAttribute('data-ready', '');
        const text = box.querySelector('textarea'), say = words => {
            const place = root.querySelector('.vm-clip');
            if (place) place.textContent = words;
        };
        const old = () => {
            text.select();
            if (!document.execCommand('copy')) throw 0;
        };
        const write = navigator.clipboard?.writeText(text.value) ?? Promise.reject();
        write.catch(old).then(() => say(' It is on the clipboard.'), () => say(' Select it there to copy it.'));
    };

    /* keys: plain ones belong to the panel, so that none of them deletes or retypes the cell */
    const guard = (element, on) => on ? element.setAttribute('data-lm-suppress-shortcuts', 'true')
        : element.removeAttribute('data-lm-suppress-shortcuts');
    const select = readout => {
        readout.focus();
        getSelection().selectAllChildren(readout);
    };
    root.addEventListener('keydown', event => {
        const target = event.target, control = target.closest('.vm-control');
        if (event.key === 'Control' || event.key === 'Meta') return guard(target, false);
        if (target.matches('.noUi-handle') && event.key === 'Enter') {
            event.preventDefault();
            select(control.querySelector('.widget-readout'));
        } else if (target.matches('.widget-readout') && (event.key === 'Enter' || event.key === 'Escape')) {
            control.querySelector('.noUi-handle').focus();
        } else if (target.matches('.widget-toggle-button')) {
            const way = {ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1}[event.key];
            const all = [...target.parentElement.children];
            const next = way ? all[(all.indexOf(target) + way + all.length) % all.length]
                : {Home: all[0], End: all.at(-1)}[event.key];
            if (!next) return;
            event.preventDefault();
            next.click();
            next.focus();
        }
    });
    root.addEventListener('focusout', event => { if (event.target.matches('.widget-readout')) take(event.target); });
    root.addEventListener('blur', event => event.stopPropagation());
    root.addEventListener('keyup', event => { if (!event.ctrlKey && !event.metaKey) guard(event.target, true); });
    root.addEventListener('focusin', event => guard(event.target, true));

    /* beside a file browser a narrow window leaves a panel no room: close it, as a press on its tab would */
    const shut = tab => ['pointerdown', 'pointerup'].forEach(kind => tab.dispatchEvent(
        new PointerEvent(kind, {bubbles: true, cancelable: true, ...middle(tab.getBoundingClientRect())})));
    const middle = box => ({clientX: box.x + box.width / 2, clientY: box.y + box.height / 2});
    if (innerWidth < 700) document.querySelectorAll('.jp-SideBar.jp-mod-left .lm-mod-current').forEach(shut);
    new MutationObserver(dress).observe(root, {childList: true, subtree: true, characterData: true,
        attributes: true, attributeFilter: ['class', 'aria-valuetext']});
    dress();
})(this);
