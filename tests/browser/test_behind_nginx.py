"""The app as people reach it from outside: nginx with a certificate in front, and a browser that asks it by name."""

from __future__ import annotations

import os
import re
import shutil
import ssl
import subprocess
import time
import urllib.request

import pytest

from tests.browser import real
from tests.browser.hands import within

NAME = "van.example"
CONFIGURATION = """
{user}
pid {folder}/nginx.pid;
error_log stderr;
daemon off;
events {{}}
http {{
  access_log off;
  client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy; fastcgi_temp_path {folder}/fastcgi;
  uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
  server {{
    listen 127.0.0.1:{port} ssl;
    server_name {name};
    ssl_certificate {folder}/certificate.pem;
    ssl_certificate_key {folder}/key.pem;
    location / {{
      proxy_pass {inner};
      proxy_set_header Host $http_host;
      proxy_set_header X-Forwarded-For $remote_addr;
      proxy_set_header X-Forwarded-Proto $scheme;
    }}
  }}
}}
"""


@pytest.fixture(scope="module")
def nginx():
    found = shutil.which("nginx") or shutil.which("/usr/sbin/nginx")
    if found and shutil.which("openssl") and real.chromium_path():
        return found
    message = "nginx, openssl or chromium is not installed (packages of these names): https was not tried"
    if os.environ.get("CI") == "true":
        pytest.fail(message)
    pytest.skip(message)


@pytest.fixture(scope="module")
def outside(nginx, tmp_path_factory):
    """The address outside."""
    folder = tmp_path_factory.mktemp("proxy")
    port = real.free_port()
    address = f"https://{NAME}:{port}"
    settings = {"THRIFTLOOM_PUBLIC_URL": address, "THRIFTLOOM_PROXIES": "1"}
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={NAME}"]
    files = ["-addext", f"subjectAltName=DNS:{NAME}", "-keyout", folder / "key.pem", "-out", folder / "certificate.pem"]
    subprocess.run([*command, *files], check=True, capture_output=True, timeout=60)
    real.seed(folder / "data")
    inner_port = real.free_port()
    inner = f"http://127.0.0.1:{inner_port}"
    user = "user root;" if os.geteuid() == 0 else ""
    text = CONFIGURATION.format(folder=folder, port=port, name=NAME, inner=inner, user=user)
    (folder / "nginx.conf").write_text(text)
    environment = real.environment(folder / "data") | settings
    with (
        subprocess.Popen([*real.PROGRAM, "serve", "--port", str(inner_port)], env=environment) as server,
        subprocess.Popen([nginx, "-p", str(folder), "-c", str(folder / "nginx.conf")]) as proxy,
    ):
        try:
            until_answered(port)
            yield address
        finally:
            proxy.terminate()
            server.kill()


def until_answered(port: int) -> None:
    unchecked = ssl._create_unverified_context()  # our own certificate, on this machine
    request = urllib.request.Request(f"https://127.0.0.1:{port}/ping", headers={"Host": f"{NAME}:{port}"})
    for _ in range(600):
        try:
            with urllib.request.urlopen(request, context=unchecked, timeout=5) as answer:
                assert answer.status == 204
                return
        except OSError:
            time.sleep(0.1)
    pytest.fail("nginx or the app did not start")


@pytest.fixture
def page(chromium):
    """A phone that finds the name here and believes the certificate."""
    more = ("--ignore-certificate-errors", f"--host-resolver-rules=MAP {NAME} 127.0.0.1")
    browser = chromium.browser_type.launch(executable_path=real.chromium_path(), args=[*real.ARGUMENTS, *more])
    context = real.patient(browser.new_context(**real.PHONE, ignore_https_errors=True))
    yield context.new_page()
    browser.close()


def test_it_is_an_app_over_https(page, outside):
    answer = page.goto(outside)
    assert answer.headers["strict-transport-security"].startswith("max-age=31536000")
    page.get_by_role("link", name="New job").first.click()
    cookies = page.context.cookies()
    assert cookies
    assert all(cookie["secure"] for cookie in cookies), cookies
    assert page.evaluate("isSecureContext")
    scope = within(page, "() => navigator.serviceWorker.ready.then((worker) => worker.scope)")
    assert scope == f"{outside}/"


def test_forms_pass_the_checks_of_where_they_come_from(page, outside):
    page.goto(f"{outside}/jobs/new")
    page.get_by_label("Name of the job").fill("Behind nginx")
    page.get_by_label("Type of battery").select_option("agm")
    page.get_by_role("button", name="Start").click()
    page.get_by_role("heading", name="Where are the loads?").wait_for()
    page.goto(outside)
    page.get_by_text("Behind nginx").first.wait_for()


def test_forms_pass_without_scripts_too(page, outside):
    plain = page.context.browser.new_context(java_script_enabled=False, ignore_https_errors=True)
    with real.patient(plain) as context:
        plain = context.new_page()
        plain.goto(f"{outside}/jobs/new")
        plain.get_by_label("Name of the job").fill("Without scripts")
        plain.get_by_label("Type of battery").select_option("agm")
        plain.get_by_role("button", name="Start").click()
        plain.get_by_role("heading", name="Where are the loads?").wait_for()


def test_the_label_sheet_names_the_address_outside(page, outside):
    real.plan_of(page, outside, "library van")
    plan_id = re.search(r"/plans/(\w+)", page.url).group(1)
    page.goto(f"{outside}/plans/{plan_id}/labels")
    page.locator(".read-first input[type=checkbox]").check()
    code = page.locator("svg.qr").first
    assert f"{outside}/jobs/" in code.get_attribute("aria-label")
    assert page.get_by_text("works on this machine only").count() == 0


def test_what_a_visitor_claims_is_not_believed(outside):
    """nginx writes the scheme itself: a visitor over https who claims http is still over https."""
    unchecked = ssl._create_unverified_context()
    port = outside.rpartition(":")[2]
    headers = {
        "Host": outside.removeprefix("https://"),
        "X-Forwarded-Proto": "http",
        "X-Forwarded-Host": "evil.example",
    }
    request = urllib.request.Request(f"https://127.0.0.1:{port}/", headers=headers)
    with urllib.request.urlopen(request, context=unchecked, timeout=20) as answer:
        assert answer.headers["Strict-Transport-Security"]
        assert b"evil.example" not in answer.read()
