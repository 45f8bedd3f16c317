namespace Tonematch.Reporting;

/// <summary>
/// The page's style and its few lines of script. The page itself is grey: only the footage has colour.
/// </summary>
internal static class ReportAssets
{
    public const string Style = """

        :root{--paper:#f6f6f4;--ink:#1b1b1b;--soft:#5a5a58;--line:#c9c9c5;--faint:#e7e7e3;--field:#ececea;--surround:#747474;--red:#b03a2c;--green:#2f7a3a;--blue:#3560b8}
        @media (prefers-color-scheme:dark){:root{--paper:#1a1a1a;--ink:#ececea;--soft:#a9a9a6;--line:#484846;--faint:#2a2a29;--field:#242423;--surround:#5c5c5c;--red:#e27a6c;--green:#6dbb78;--blue:#86a9f0}}
        *{box-sizing:border-box}
        html{-webkit-text-size-adjust:100%;scroll-padding-top:1rem}
        body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.55 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;overflow-wrap:anywhere}
        header,main,footer{max-width:72rem;margin:0 auto;padding:0 clamp(1rem,4vw,2.5rem)}
        header{padding-top:clamp(1.2rem,4vw,3rem)}
        footer{color:var(--soft);font-size:.875rem;padding-bottom:3rem}
        footer p{max-width:46rem;border-top:1px solid var(--line);padding-top:1rem;margin-top:3rem}
        p,li{max-width:46rem}
        a{color:inherit;text-underline-offset:.2em}
        :focus-visible{outline:2px solid var(--ink);outline-offset:2px}
        .skip{position:absolute;left:-99rem}
        .skip:focus{left:1rem;top:1rem;background:var(--paper);padding:.5rem 1rem;z-index:2}
        h1{font-size:clamp(1.45rem,1.1rem + 1.9vw,2.35rem);line-height:1.2;font-weight:600;letter-spacing:-.012em;max-width:26em;margin:.35em 0 .9em;text-wrap:balance}
        h2{font-size:1.3rem;line-height:1.3;font-weight:600;margin:0 0 .6rem;letter-spacing:-.005em}
        h3{font-size:1rem;font-weight:600;margin:2rem 0 .5rem}
        h3 small{font-weight:400;color:var(--soft)}
        main>section{border-top:2px solid var(--ink);padding-top:.9rem;margin-top:3.2rem}
        .byline{color:var(--soft);margin:0;font-size:.9375rem}
        .mark{display:inline-flex;align-items:center;gap:.4em;border:1.5px solid var(--ink);color:var(--ink);border-radius:2em;padding:.05em .75em .05em .6em;margin-right:.5em;font-weight:600;white-space:nowrap}
        .mark svg{width:.8em;height:.8em;fill:none;stroke:currentColor;stroke-width:2;stroke-linecap:round;stroke-linejoin:round}
        .figures{display:flex;flex-wrap:wrap;gap:.6rem 0;margin:0}
        .figures div{display:flex;flex-direction:column-reverse;justify-content:flex-end;padding:0 1.6rem 0 0;margin-right:1.6rem;border-right:1px solid var(--line);max-width:11rem}
        .figures div:last-child{border:0}
        .figures dt{color:var(--soft);font-size:.875rem;line-height:1.3}
        .figures dd{margin:0;font-size:1.75rem;line-height:1.2;font-variant-numeric:tabular-nums}
        .figures .strong dd{font-weight:700}
        .figures .strong dt{color:var(--ink)}
        .unit{color:var(--soft);font-size:.875rem;margin:.7rem 0 1.4rem}
        .lead p{margin:.35rem 0}
        .reasons{margin:.3rem 0 .6rem;padding-left:1.15rem}
        .reasons li{margin:.2rem 0}
        .warnings,.next{border-left:3px solid var(--ink);padding:.1rem 0 .1rem 1.1rem;margin:1.6rem 0}
        .next{border-left-color:var(--line)}
        .warnings h2,.next h2{font-size:1rem;margin-bottom:.2rem}
        .warnings ul,.next ol{margin:0;padding-left:1.15rem}
        .warnings li,.next li{margin:.25rem 0}
        .next h3{margin:.8rem 0 .1rem;font-size:.9375rem}
        .next ul{margin:0;padding-left:1.15rem}
        .first{display:grid;gap:0 2.5rem;grid-template-columns:1fr;align-items:start}
        nav{margin-top:1.8rem}
        nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;list-style:none;padding:0;margin:0;font-size:.9375rem}
        nav a{display:inline-block;padding:.25rem 0}
        figure{margin:1.6rem 0}
        figcaption{max-width:46rem;line-height:1.45}
        figcaption span,.note{color:var(--soft);font-size:.9375rem}
        .surround{background:var(--surround);padding:clamp(.5rem,1.6vw,1rem);border-radius:3px}
        .surround figcaption{color:#fff;padding:.45rem 0 0;font-size:.9375rem}
        .surround figcaption span{color:#fff}
        .look{margin:0 0 1.1rem}
        .two{display:grid;gap:clamp(.6rem,1.6vw,1rem);grid-template-columns:1fr 1fr}
        .details{display:grid;gap:clamp(.6rem,1.6vw,1rem);grid-template-columns:repeat(3,1fr);max-width:36rem;margin:.8rem auto 0}
        .look figcaption{font-size:.875rem}
        .begins,.load{margin:.4rem 0}
        .cuts video{display:block;width:100%;max-width:40rem;height:auto;margin-top:.5rem;background:var(--surround)}
        .fold>summary h2{display:inline}
        .four,.three,.pair{display:grid;gap:clamp(.6rem,1.6vw,1rem);grid-template-columns:1fr}
        .shot{margin:0;min-width:0}
        .shot>div{position:relative}
        img{display:block;width:100%;height:auto}
        .marks{position:absolute;inset:0;width:100%;height:100%;display:none;fill:none}
        .marks circle{stroke-width:2.5;vector-effect:non-scaling-stroke}
        .marks .halo{stroke:#000;stroke-width:5;stroke-opacity:.55}
        .toggle:checked~.four .marks,.toggle:checked~.note{display:block}
        .toggle~.note{display:none}
        .toggle{width:1.1rem;height:1.1rem;vertical-align:-.15rem;margin:0 .5rem .8rem 0;accent-color:var(--ink)}
        .scale{display:block;width:15rem;max-width:100%;margin-top:.5rem}
        .surround .tick{fill:#fff}
        .split label{white-space:nowrap;margin-right:.8em}
        .split input{accent-color:var(--ink)}
        .split .surround{margin-top:.7rem}
        .stack{position:relative;--at:50%;touch-action:pan-y;cursor:ew-resize;overflow:hidden}
        .stack .over{position:absolute;inset:0;height:100%;object-fit:cover;clip-path:inset(0 calc(100% - var(--at)) 0 0)}
        .stack .edge{position:absolute;top:0;bottom:0;left:calc(var(--at) - 1px);width:2px;background:#fff;box-shadow:0 0 0 1px #0008}
        .split input[type=range]{width:100%;margin:.7rem 0 0;display:block;accent-color:#fff}
        details{margin:1.4rem 0}
        summary{cursor:pointer;font-weight:600;padding:.3rem 0}
        .plots{display:grid;gap:0 2.5rem;grid-template-columns:1fr;align-items:start}
        .plot{min-width:0}
        .plot svg:not(.key){display:block;width:100%;max-width:34rem;height:auto;margin-top:.5rem;overflow:visible}
        svg text{font-family:inherit}
        .grid path{stroke:var(--line);stroke-width:.6;fill:none}
        .tick{fill:var(--soft);font-size:10.5px}
        .axis{fill:var(--ink);font-size:11px}
        .small{font-size:8.5px}
        .cross{stroke:var(--soft);stroke-width:.9;fill:none}
        .ideal{stroke:var(--ink);stroke-width:1;stroke-dasharray:4 3;fill:none}
        .arrow{stroke:var(--ink);stroke-opacity:.6;stroke-width:1;fill:none}
        .head{fill:var(--ink)}
        .square{fill:none;stroke:var(--soft);stroke-width:1}
        .dot{stroke:var(--ink);stroke-width:.9}
        .key .dot{fill:var(--soft)}
        .ring{fill:none;stroke:var(--ink);stroke-width:1.3}
        .bar{fill:var(--soft)}
        .outline{fill:none;stroke:var(--ink);stroke-width:1.3}
        .band{fill:var(--soft);fill-opacity:.38}
        .line{fill:none;stroke:var(--ink);stroke-width:1.6;stroke-linejoin:round}
        .instant{fill:var(--ink)}
        .step{stroke:var(--ink);stroke-width:.8;stroke-dasharray:1.5 2.5}
        .red,.green,.blue{fill:none;stroke-width:1.2;stroke-linejoin:round}
        .red{stroke:var(--red)}.green{stroke:var(--green)}.blue{stroke:var(--blue)}
        .legend{display:flex;flex-wrap:wrap;gap:.1rem 1.1rem;list-style:none;padding:0;margin:.4rem 0 0;font-size:.875rem;color:var(--soft)}
        .legend .key{width:.8rem;height:.8rem;vertical-align:-.08rem}
        .signals>div{display:grid;gap:.8rem 1.6rem;grid-template-columns:1fr}
        .signals p{margin:.6rem 0 .1rem;font-size:.875rem;color:var(--soft)}
        .signals svg{display:block;width:100%;max-width:26rem;height:auto;overflow:visible}
        .signals svg.square-plot{max-width:15rem}
        .tiles ul{display:grid;gap:.7rem .6rem;grid-template-columns:repeat(auto-fill,minmax(5.2rem,1fr));list-style:none;padding:0;margin:.8rem 0 0}
        .tiles li{font-size:.8125rem;line-height:1.3;color:var(--soft);min-width:0}
        .tiles b{color:var(--ink);font-variant-numeric:tabular-nums}
        .tiles svg{display:block;width:100%;height:auto;margin-bottom:.2rem}
        .scroll{overflow-x:auto;margin:.6rem 0 1.4rem}
        table{border-collapse:collapse;font-size:.9375rem;font-variant-numeric:tabular-nums;min-width:100%}
        caption{text-align:left;color:var(--soft);font-size:.875rem;padding-bottom:.4rem}
        caption span{display:block;max-width:min(46rem,calc(100vw - 2.5rem))}
        th,td{text-align:left;padding:.32rem .9rem .32rem 0;border-bottom:1px solid var(--line);font-weight:400;vertical-align:baseline;overflow-wrap:normal}
        thead th{color:var(--soft);font-size:.8125rem;line-height:1.25;vertical-align:bottom;border-bottom-color:var(--ink)}
        .n{text-align:right;white-space:nowrap}
        thead .n{white-space:normal}
        td:last-child,th:last-child{padding-right:0}
        .words{min-width:18rem}
        .swatches{display:inline-block;width:6rem;height:1.25rem;vertical-align:-.28rem}
        .meter{display:block;width:7rem;height:.55rem;background:var(--faint)}
        .chosen th,.chosen td{font-weight:700}
        em{font-style:normal;font-weight:400;font-size:.8125rem;border:1px solid var(--line);border-radius:1em;padding:0 .5em;white-space:nowrap}
        .coverage td,.coverage thead th{text-align:center;padding:.32rem .4rem}
        .coverage th[scope=row]{padding-right:.6rem}
        .c0{background:none;color:var(--soft)}.c1{background:var(--faint)}.c2{background:color-mix(in srgb,var(--soft) 28%,var(--paper))}.c3{background:color-mix(in srgb,var(--soft) 46%,var(--paper))}
        .facts{display:grid;grid-template-columns:1fr;margin:.6rem 0;font-size:.9375rem}
        .facts div{display:grid;grid-template-columns:minmax(5.5rem,10rem) minmax(0,2.6fr);gap:0 1rem;border-bottom:1px solid var(--line);padding:.3rem 0}
        .facts dt{color:var(--soft)}
        .facts dd{margin:0}
        .how dd{font-family:ui-monospace,SFMono-Regular,Menlo,Consolas,monospace;font-size:.8125rem;line-height:1.6}
        .steps li{margin:.2rem 0}
        @media (max-width:63.99rem){.figures{display:grid;grid-template-columns:repeat(3,1fr);gap:.9rem 1.2rem}.figures div{border:0;margin:0;padding:0}}
        @media (max-width:39.99rem){.figures{grid-template-columns:repeat(2,1fr)}table{font-size:.875rem}th,td{padding-right:.55rem}.swatches{width:4.2rem}.meter{width:4.5rem}.coverage td,.coverage thead th{padding:.3rem .1rem;font-size:.6875rem}.coverage th[scope=row]{font-size:.8125rem}.words{min-width:11rem}.safety .n{display:none}}
        @media (min-width:40rem){.three{grid-template-columns:repeat(3,1fr)}.four,.pair{grid-template-columns:1fr 1fr}.signals>div{grid-template-columns:repeat(3,1fr)}.signals svg:not(.square-plot){max-width:none}}
        @media (min-width:46rem){.plots{grid-template-columns:1fr 1fr}.plots>.plot{display:grid;grid-template-rows:subgrid;grid-row:span 3;align-content:start}}
        @media (min-width:64rem){.first{grid-template-columns:1fr 1fr}.first>:only-child{grid-column:1/-1}}
        @media print{
        @page{size:A4;margin:14mm}
        :root{--paper:#fff;--ink:#000;--soft:#444;--line:#bbb;--faint:#eee;--surround:#747474;--red:#b03a2c;--green:#2f7a3a;--blue:#3560b8}
        *{print-color-adjust:exact;-webkit-print-color-adjust:exact}
        html{font-size:9pt}
        body{font-size:9pt}
        header,main,footer{max-width:none;padding:0}
        nav,.split,.cuts,.skip,.toggle,.toggle+label{display:none!important}
        .scroll{overflow:visible}
        figure,tr,.tiles li,.signals,.three,.pair{break-inside:avoid}
        thead{display:table-header-group}
        h2,h3,h2+p,h3+p{break-after:avoid}
        p,li,dl{break-inside:avoid}
        .figures{display:flex}
        .figures div{border-right:1px solid var(--line);padding-right:.7rem;margin-right:.7rem;max-width:8rem}
        .first{grid-template-columns:1fr 1fr;gap:0 8mm}
        .first>:only-child{grid-column:1/-1}
        main>section{margin-top:9mm}
        .plots{grid-template-columns:1fr 1fr;gap:0 8mm}
        .four,.pair{grid-template-columns:1fr 1fr}
        .three,.signals>div{grid-template-columns:repeat(3,1fr)}
        .tiles ul{grid-template-columns:repeat(8,1fr)}
        table{font-size:8pt}
        .coverage td,.coverage thead th{padding:.2rem .2rem}
        .coverage th,.coverage td{font-size:7.5pt}
        th,td{padding-right:.5rem}
        .words{min-width:0}
        }

        """;

    public const string Script = """

        addEventListener('beforeprint', function () {
          document.querySelectorAll('details').forEach(function (d) { d.open = true; });
        });
        (function () {
          var split = document.getElementById('split');
          var corrected = document.getElementById('shot-corrected');
          if (!split || !corrected) { return; }
          var stack = split.querySelector('.stack'), range = split.querySelector('input[type=range]');
          var over = split.querySelector('.over');
          function show() { stack.style.setProperty('--at', range.value + '%'); }
          function left(id) { over.src = document.getElementById(id).src; }
          split.querySelector('.under').src = corrected.src;
          left('shot-secondary');
          range.addEventListener('input', show);
          split.addEventListener('change', function (e) { if (e.target.name === 'left') { left(e.target.value); } });
          function drag(e) {
            if (e.type === 'pointerdown' || e.buttons) {
              var box = stack.getBoundingClientRect();
              range.value = 100 * (e.clientX - box.left) / box.width;
              show();
              e.preventDefault();
            }
          }
          stack.addEventListener('pointerdown', drag);
          stack.addEventListener('pointermove', drag);
          split.hidden = false;
        })();

        """;
}
