@echo off
rem The one launcher on Windows: run TASK. See run (for Linux and macOS) for what each task does.
setlocal
set ROOT=%~dp0
set PROGRAM=%ROOT%artifacts\tonematch\tonematch.exe
set DOTNET_CLI_TELEMETRY_OPTOUT=1
set DOTNET_NOLOGO=1

if "%1"=="" goto usage
if /i "%1"=="setup" goto setup
if /i "%1"=="build" goto build
if /i "%1"=="workbench" goto workbench
if /i "%1"=="demo" goto demo
if /i "%1"=="test" goto test
if /i "%1"=="selfcheck" goto selfcheck
if /i "%1"=="bench" goto bench
if /i "%1"=="format" goto format
if /i "%1"=="tonematch" goto tonematch
echo There is no task '%1'. 1>&2
goto usage

:usage
echo run setup ^| build ^| workbench ^| demo ^| selfcheck ^| test ^| bench NAME ^| format ^| tonematch ARGS
exit /b 2

:ensure_tools
where dotnet >nul 2>nul || (echo The .NET SDK 10 is missing: winget install Microsoft.DotNet.SDK.10 1>&2 & exit /b 3)
where ffmpeg >nul 2>nul && exit /b 0
where winget >nul 2>nul || (echo FFmpeg is missing: install ffmpeg and ffprobe so that both are on the PATH. 1>&2 & exit /b 3)
winget install --id Gyan.FFmpeg --exact --accept-package-agreements --accept-source-agreements || exit /b 3
echo FFmpeg was installed. Open a new window so that it is found, then run this again. 1>&2
exit /b 3

:publish
dotnet publish "%ROOT%src\Tonematch.Cli" -c Release -p:NuGetLockFilePath=obj/publish.lock.json --artifacts-path "%ROOT%artifacts\publish" -o "%ROOT%artifacts\tonematch" -v q || exit /b 1
call :commit
>"%ROOT%artifacts\tonematch\.built" echo(%COMMIT%
exit /b 0

rem Built anew after each update: what was built is remembered by its commit. Whoever changes the code runs 'run build'.
:ensure_program
call :commit
set BUILT=
if exist "%ROOT%artifacts\tonematch\.built" set /p BUILT=<"%ROOT%artifacts\tonematch\.built"
if exist "%PROGRAM%" if "%COMMIT%"=="%BUILT%" exit /b 0
call :ensure_tools || exit /b 3
call :publish
exit /b %errorlevel%

:commit
set COMMIT=
for /f %%i in ('git -C "%ROOT%." rev-parse HEAD 2^>nul') do set COMMIT=%%i
exit /b 0

:setup
call :ensure_tools
exit /b %errorlevel%

:build
call :ensure_tools || exit /b 3
call :publish
exit /b %errorlevel%

:workbench
call :ensure_tools || exit /b 3
call :ensure_program || exit /b 1
if not "%2"=="" ("%PROGRAM%" %* & exit /b)
if not exist tonematch-demo\potter-hands.mp4 "%PROGRAM%" demo --out tonematch-demo || exit /b 1
"%PROGRAM%" workbench tonematch-demo --out tonematch-demo\workbench
exit /b %errorlevel%

:demo
call :ensure_tools || exit /b 3
call :ensure_program || exit /b 1
"%PROGRAM%" selfcheck || exit /b 3
"%PROGRAM%" %*
exit /b %errorlevel%

:selfcheck
call :ensure_tools || exit /b 3
call :ensure_program || exit /b 1
"%PROGRAM%" %*
exit /b %errorlevel%

:test
call :ensure_tools || exit /b 3
call :publish || exit /b 1
"%PROGRAM%" selfcheck
dotnet test --solution "%ROOT%Tonematch.sln" -c Release
exit /b %errorlevel%

:bench
call :ensure_tools || exit /b 3
for /f "tokens=1,* delims= " %%a in ("%*") do dotnet run --project "%ROOT%tests\Tonematch.Bench" -c Release -- %%b
exit /b %errorlevel%

:format
dotnet format "%ROOT%Tonematch.sln"
exit /b %errorlevel%

:tonematch
call :ensure_program || exit /b 1
for /f "tokens=1,* delims= " %%a in ("%*") do "%PROGRAM%" %%b
exit /b %errorlevel%
